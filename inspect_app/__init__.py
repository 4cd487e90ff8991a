"""Grid and gallery inspection log: the package and its version."""

__version__ = "0.1.0"
