"""Reads the project's parameter files by a way of its own (Python's `tomllib`)."""

import re
import tomllib
from fractions import Fraction

# One inch is 25.4 mm, exactly (international yard and pound agreement, 1959).
IN_MM = {"mm": Fraction(1), "cm": Fraction(10), "in": Fraction(254, 10)}


def length_mm(text):
    """`"31.75 mm"`, `"7/8 in"`, `"1-1/4 in"` in mm."""
    number, unit = re.fullmatch(r"\s*(-?[\d./\- ]+?)\s*([a-z]+)\s*", text).groups()
    sign = -1 if number.startswith("-") else 1
    total = sum(Fraction(part) for part in re.split(r"[- ]+", number.lstrip("-")) if part)
    return float(sign * total * IN_MM[unit])


def percent(text):
    """`"55 %"` as 0.55."""
    return float(re.fullmatch(r"\s*(-?[\d.]+)\s*%\s*", text)[1]) / 100.0


def degrees(text):
    """`"1 deg"` as 1.0."""
    return float(re.fullmatch(r"\s*(-?[\d.]+)\s*deg\s*", text)[1])


def stations(rows, key):
    """Pairs of place (0 to 1) and size in mm."""
    return [(percent(row["at"]), length_mm(row[key])) for row in rows]


def read(path):
    """A parameter file as it stands."""
    with open(path, "rb") as file:
        return tomllib.load(file)
