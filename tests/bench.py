"""Speed and memory, printed as a table: ``python -m tests.bench``. Nothing here passes or fails.

Every time is the median of repeated runs; start-up times are of fresh processes, taken in
turns so that a busy machine slows all of them alike.
"""

from __future__ import annotations

import gc
import json
import os
import random
import statistics
import subprocess
import sys
import time
from functools import partial
from typing import TYPE_CHECKING, Any

from advisor.chain import available, compile_chain
from advisor.chain.port import ChainRule, Fact
from advisor.consult import Consultation
from advisor.knowledge.conditions import InRange, Is
from advisor.knowledge.load import load

if TYPE_CHECKING:
    from collections.abc import Callable

    from advisor.knowledge.base import Base

# The same steps as the command's own, which holds the collector back while it starts.
_FIRST_QUESTION = """
import gc
gc.disable()
import advisor.cli.app, advisor.cli.diagnose, advisor.cli.conversation, advisor.cli.prompts
from advisor.knowledge.load import load
from advisor.consult import Consultation
consultation = Consultation(load())
advisor.cli.conversation._asker(consultation)
assert consultation.next_question.kind == "symptoms"
"""
_PROMPT_LIBRARY = "import questionary"
_NOTHING = "pass"

_MEMORY = """
from advisor.knowledge.load import load
from advisor.consult import Consultation
import questionary, rich.console
from advisor.report.result import result
c = Consultation(load())
c = c.tell_symptoms(["cloud_at_filter"])
for name, value in (("operation", "strip"), ("drink_volume", "750 ml"), ("drink_strength", "20 %"),
                    ("milk_volume", "200 ml"), ("acid_kind", "lemon-juice"),
                    ("acid_volume", "1 oz")):
    c = c.tell(name, value)
for _ in range(12):
    q = c.next_question
    if q is None:
        break
    c = c.answered(q.finding, q.options[0].value if q.options else "unknown")
result(c)
with open("/proc/self/status") as status:  # the peak since this program began, unlike ru_maxrss
    print(next(int(line.split()[1]) // 1024 for line in status if line.startswith("VmHWM")))
"""


def main() -> None:
    """Print every table."""
    load()  # fills the cache
    _start()
    _answer_to_question(Consultation(load()), "shipped base")
    for count in (400, 3000):
        synthetic = Consultation(_synthetic_base(count))
        _answer_to_question(synthetic, f"synthetic, {count} rules", synthetic=True)
    _loading_and_checks()
    _chains()
    _figures()
    _bulk()
    _other_jobs()
    print(f"\nmemory of a whole consultation: {_child(_MEMORY)[1].strip()} MB resident at most")


def _child(code: str) -> tuple[float, str]:
    began = time.perf_counter()
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return (time.perf_counter() - began) * 1000, done.stdout


def _start() -> None:
    names = {
        "python alone": _NOTHING,
        "prompt library": _PROMPT_LIBRARY,
        "first question": _FIRST_QUESTION,
    }
    times: dict[str, list[float]] = {name: [] for name in names}
    for _ in range(11):
        for name, code in names.items():
            times[name].append(_child(code)[0])
    medians = {name: statistics.median(taken) for name, taken in times.items()}
    print("start, ms (fresh processes)")
    for name, taken in medians.items():
        print(f"  {name:<18}{taken:8.1f}")
    ratio = medians["first question"] / medians["prompt library"]
    print(f"  first question / prompt library = {ratio:.2f}")


def _timed(action: Callable[[], Any], times: int) -> list[float]:
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        action()
        taken.append((time.perf_counter() - began) * 1000)
    return sorted(taken)


def _synthetic_base(count: int) -> Base:
    """A base of random rules of the shape that people write: two tests, one or two causes."""
    import tempfile
    from pathlib import Path

    from advisor.knowledge.load import check_folders

    rng = random.Random(count)
    words = ["one", "two", "three"]
    findings = [
        {
            "id": f"f{i}",
            "label": f"finding {i}",
            "ask": f"Finding {i}?",
            "kind": "choice",
            "group": "seen",
            "choices": [{"value": w, "label": w} for w in words],
        }
        for i in range(count // 5)
    ] + [
        {
            "id": f"s{i}",
            "label": f"symptom {i}",
            "ask": f"Symptom {i}?",
            "kind": "yes-no",
            "group": "symptom",
        }
        for i in range(20)
    ]
    causes = [
        {
            "id": f"c{i}",
            "title": f"Cause {i}",
            "stage": "acid",
            "prior": "sometimes",
            "operations": ["strip"],
            "because": "random",
            "source": ["judgement"],
            "shows": {f"s{i % 20}": "usually", f"s{(i * 7 + 3) % 20}": "sometimes"},
        }
        for i in range(count // 5)
    ]
    rules = []
    for i in range(count):
        one, two = rng.sample(range(count // 5), 2)
        first, second = rng.choice(words), rng.choice(words)
        rules.append(
            {
                "id": f"r{i}",
                "title": f"Rule {i}",
                "stage": "acid",
                "because": "random",
                "when": {"all": [{f"f{one}": first}, {f"f{two}": second}]}
                if i % 2
                else {f"f{one}": first},
                "then": {"suspect": {f"c{rng.randrange(count // 5)}": "strong"}},
                "source": ["judgement"],
                "examples": [
                    {"given": {f"f{one}": first, f"f{two}": second}, "fires": True},
                    {"given": {f"f{one}": "unknown"}, "fires": False},
                ],
            }
        )
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "base.yaml").write_text(
            json.dumps(
                {
                    "base": {"name": "synthetic", "version": "1"},
                    "findings": findings,
                    "causes": causes,
                    "rules": rules,
                }
            )
        )
        base, _ = check_folders([folder])
    assert base is not None
    return base


def _answer_to_question(start: Consultation, name: str, *, synthetic: bool = False) -> None:
    """From an answer to the next question: figures, chain, ledger, look-ahead, choice.

    Like the command after its start, it keeps base and engine out of the collector's sight.
    """
    _ = start.base.lines, start.engine, start.engine.reference
    gc.collect()
    gc.freeze()
    rng = random.Random(7)
    symptoms = [f.id for f in start.base.findings.values() if f.symptom]
    taken = []
    for _ in range(40):
        consultation = start.tell_symptoms(rng.sample(symptoms, rng.choice((1, 1, 2))))
        if not synthetic:
            consultation = consultation.tell("operation", rng.choice(("strip", "several")))
        for key, value in (
            ()
            if synthetic
            else (
                ("drink_volume", "750 ml"),
                ("drink_strength", "20 %"),
                ("milk_volume", "200 ml"),
                ("acid_kind", "lemon-juice"),
                ("acid_volume", "30 ml"),
            )
        ):
            consultation = consultation.tell(key, value)
        consultation = consultation.skip_opening()
        for _ in range(6):
            question = consultation.next_question
            if question is None:
                break
            raw = rng.choice(question.options).value if question.options else "unknown"
            began = time.perf_counter()
            consultation = consultation.answered(question.finding, raw)
            _ = consultation.next_question
            taken.append((time.perf_counter() - began) * 1000)
    taken.sort()
    lines = len(start.base.lines)
    print(f"\nanswer to next question, ms ({name}, {lines} lines, {len(taken)} answers)")
    print(
        f"  median {statistics.median(taken):.1f}   p95 {taken[int(0.95 * len(taken))]:.1f}"
        f"   worst {taken[-1]:.1f}"
    )


def _loading_and_checks() -> None:
    """From the cache, and every static check on the shipped size and at 3 000 rules."""
    from advisor.knowledge.audit import audit
    from advisor.knowledge.load import check_folders, shipped_folder

    def from_cache() -> None:
        base = load()
        _ = base.findings

    def whole() -> None:
        _ = load().lines

    print("\nloading and checking the knowledge, ms")
    print(f"  from the cache, findings    {statistics.median(_timed(from_cache, 15)):9.1f}")
    print(f"  from the cache, everything  {statistics.median(_timed(whole, 15)):9.1f}")
    took = _timed(lambda: check_folders([shipped_folder()]), 3)
    print(f"  read and check all of it    {statistics.median(took):9.0f}")
    big = _synthetic_base(3000)
    print(f"  static checks, 3 000 rules  {_timed(lambda: audit(big), 1)[0]:9.0f}")


def _other_jobs() -> None:
    """What a developer and an instructor wait for."""
    from pathlib import Path

    from advisor.consult import read_case
    from advisor.simulator import simulate
    from advisor.technique.brief import read_brief
    from advisor.technique.choose import choose
    from advisor.technique.protocol import protocol

    demo = Path(__file__).parent.parent / "scenarios_demo"
    base = load()
    case = read_case(demo / "01-still-cloudy.yaml")
    brief = read_brief(demo / "briefs" / "punch-for-a-wedding.yaml", base)
    choose(base, brief)
    seeds = iter(range(100_000))
    jobs: dict[str, tuple[Callable[[], Any], int]] = {
        "what would change the advice": (
            lambda: Consultation.from_case(base, case).what_changes(),
            3,
        ),
        "choose a technique": (lambda: choose(base, brief), 5),
        "write a protocol": (lambda: protocol(base, brief, "strip"), 5),
        "simulate a batch": (lambda: simulate(next(seeds)), 200),
    }
    print("\nother jobs, ms (medians)")
    for name, (job, times) in jobs.items():
        print(f"  {name:<30}{statistics.median(_timed(job, times)):8.1f}")


def _synthetic(count: int, rng: random.Random) -> tuple[list[ChainRule], list[Fact]]:
    keys = [f"k{i}" for i in range(max(20, count // 8))]
    rules = []
    for number in range(count):
        tests = []
        for key in rng.sample(keys, 3):
            if rng.random() < 0.3:
                tests.append(InRange(key, low=rng.random() * 5))
            else:
                tests.append(Is(key, (rng.choice("abc"),)))
        concludes = (Fact(rng.choice(keys), "d"),) if rng.random() < 0.1 else ()
        rules.append(ChainRule(f"r{number}", (tuple(tests),), concludes))
    facts = [
        Fact(k, number=rng.random() * 10) if rng.random() < 0.3 else Fact(k, rng.choice("abc"))
        for k in rng.sample(keys, min(30, len(keys)))
    ]
    return rules, facts


def _chains() -> None:
    from tests.chain import clips

    print("\nengines side by side, ms a run with 30 facts (medians, in turns)")
    backends = [b for b in ("durable-rules", "reference") if b in available()]
    print(f"  {'rules':<8}" + "".join(f"{b:>16}" for b in [*backends, "clipspy"]) + "   ratio")
    for count in (100, 400, 1000):
        rules, facts = _synthetic(count, random.Random(count))
        runs: dict[str, Callable[[], Any]] = {}
        for backend in backends:
            chain = compile_chain(rules, backend)
            runs[backend] = partial(chain.run, facts)
        runs["clipspy"] = _clips_run(clips, rules, facts)
        taken: dict[str, list[float]] = {name: [] for name in runs}
        for _ in range(31):
            for name, run in runs.items():
                taken[name].extend(_timed(run, 1))
        medians = {name: statistics.median(values) for name, values in taken.items()}
        least = min(medians.values())
        print(
            f"  {count:<8}"
            + "".join(f"{value:16.3f}" for value in medians.values())
            + "   "
            + " : ".join(f"{value / least:.1f}" for value in medians.values())
        )


def _clips_run(clips: Any, rules: list[ChainRule], facts: list[Fact]) -> Callable[[], Any]:
    """One run on CLIPS, compiled once where the oracle allows it."""
    oracle = clips.ClipsRules(rules)
    return partial(oracle.run, facts)


def _figures() -> None:
    from advisor.reasoning.answers import read_answer
    from advisor.reasoning.evidence import figure_order, gather_facts

    base = load()
    said = {
        "operation": "strip",
        "drink_volume": "750 ml",
        "drink_strength": "20 %",
        "milk_volume": "200 ml",
        "milk_kind": "whole",
        "acid_kind": "lemon-juice",
        "acid_volume": "30 ml",
        "serve_volume": "90 ml",
    }
    answers = dict(read_answer(base, k, v) for k, v in said.items())
    order = figure_order(base)
    count = len(gather_facts(base, answers, order).figures)
    again = statistics.median(_timed(lambda: gather_facts(base, answers, order), 50))
    fresh = []
    for step in range(30):
        answers.update([read_answer(base, "drink_volume", 700.0 + step)])
        fresh.extend(_timed(lambda: gather_facts(base, answers, order), 1))
    print(
        f"\nall {count} figures of a batch, ms: new amounts {statistics.median(fresh):.2f}, "
        f"same amounts again {again:.2f}"
    )


def _bulk() -> None:
    from advisor.reasoning.answers import read_answer
    from advisor.reasoning.infer import engine_for

    base = load()
    rng = random.Random(3)
    words = [f for f in base.findings.values() if f.choices and f.asked]
    batches = []
    for _ in range(300):
        picked = rng.sample(words, 10)
        batches.append(dict(read_answer(base, f.id, rng.choice(f.words)) for f in picked))
    print("\nbulk, cases a second and core")
    for backend in ("reference", "durable-rules"):
        if backend not in available():
            continue
        engine = engine_for(base, backend)
        began = time.perf_counter()
        for answers in batches:
            engine.infer(answers)
        print(f"  {backend:<16}{len(batches) / (time.perf_counter() - began):8.0f}")


if __name__ == "__main__":
    os.environ.setdefault("PYTHONDONTWRITEBYTECODE", "1")
    print(json.dumps({"python": sys.version.split()[0], "cores": os.cpu_count()}))
    main()
