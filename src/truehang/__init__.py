"""From site readings to a pocket sliding door that can be built."""

__version__ = "0.1.0"
