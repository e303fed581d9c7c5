"""Imports every module that registers calculations, so that the registry is complete."""
