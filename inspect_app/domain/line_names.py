"""Names of lift lines, counted from the head block: presets for 1 to 12 lines and a house's own names.

Common practice, no source: houses differ, above all for even counts and from six lines on. The ordinal (line 2 of 6)
is always shown beside the name. The same presets stand as data in shared/trade.yaml; a test compares the two.
"""

from collections.abc import Mapping, Sequence

from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import House

MOST_LINES = 12
DEFAULT_PRESET = "mid"
LONGEST_NAME = 24
SETTING = "line_names"  # key of House.settings that holds the preset

PRESET_TITLES: Mapping[str, str] = {
    "mid": "Short, mid, long",
    "center": "Short, center, long",
    "centre": "Short, centre, long",
    "numbered": "Numbered from the head block",
}

_MID: Mapping[int, tuple[str, ...]] = {
    1: ("single",),
    2: ("short", "long"),
    3: ("short", "mid", "long"),
    4: ("short", "short-mid", "mid-long", "long"),
    5: ("short", "short-mid", "mid", "mid-long", "long"),
    6: ("short-short", "short-mid", "mid", "mid-long", "long", "long-long"),
    7: ("short-short", "short", "short-mid", "mid", "mid-long", "long", "long-long"),
}


def counted_names(count: int, middle: str) -> tuple[str, ...]:
    """The names that serve for any count: short, short 2, … the middle (odd counts only) …, long 2, long."""
    half = count // 2
    near = [f"short {n}" if n > 1 else "short" for n in range(1, half + 1)]
    far = [f"long {n}" if n > 1 else "long" for n in range(half, 0, -1)]
    return (*near, *((middle,) if count % 2 else ()), *far)


def preset_names(preset: str, count: int) -> tuple[str, ...]:
    """The names of a preset for a count of lines. Raises BadValue on an unknown preset or a count below 1."""
    if preset not in PRESET_TITLES:
        raise BadValue(f"“{preset}” is not a preset of line names. Known: {', '.join(PRESET_TITLES)}.", "preset")
    if count < 1:
        raise BadValue(f"A set has at least one lift line, not {count}.", "lines")
    if preset == "numbered":
        return tuple(f"line {n}" for n in range(1, count + 1))
    if count == 1:
        return ("single",)
    if preset == "mid":
        return _MID.get(count) or counted_names(count, "mid")
    return _centred(count, preset)


def _centred(count: int, middle: str) -> tuple[str, ...]:
    if count == 4:
        return ("short", f"short {middle}", f"long {middle}", "long")
    if count == 5:
        return ("short", f"short {middle}", middle, f"long {middle}", "long")
    return counted_names(count, middle)


def preset_of(house: House) -> str:
    """The preset a house has chosen, or the usual one."""
    chosen = house.settings.get(SETTING, DEFAULT_PRESET)
    return chosen if chosen in PRESET_TITLES else DEFAULT_PRESET


def names_for(house: House, count: int) -> tuple[str, ...]:
    """The names of the lines of a set with `count` lines in this house, line 1 first; none for a set without lines."""
    if count < 1:
        return ()
    own = house.line_names.get(count, ())
    return own if len(own) == count else preset_names(preset_of(house), count)


def line_name(house: House, count: int, line: int | None) -> str:
    """The name of one line, or '' when the part belongs to no line; a line beyond the count goes by its number."""
    if line is None:
        return ""
    names = names_for(house, count)
    return names[line - 1] if 0 < line <= len(names) else f"line {line}"


def ordinal(line: int, count: int) -> str:
    """The place of a line counted from the head block, as `line 2 of 6`."""
    return f"line {line} of {count}"


def line_words(house: House, count: int, line: int) -> str:
    """Name and ordinal together, as `short-mid (line 2 of 6)`; numbered names are not said twice."""
    name = line_name(house, count, line)
    return ordinal(line, count) if name == f"line {line}" else f"{name} ({ordinal(line, count)})"


def check_names(count: int, names: Sequence[str]) -> tuple[str, ...]:
    """The names a house typed, trimmed. Raises BadValue unless there are `count` different, short ones."""
    field = f"lines_{count}"
    clean = tuple(" ".join(name.split()) for name in names)
    if not 1 <= count <= MOST_LINES:
        raise BadValue(f"Own names can be kept for 1 to {MOST_LINES} lines, not {count}.", field)
    if len(clean) != count or not all(clean):
        raise BadValue(f"Write {count} names, one for each line from the head block outwards.", field)
    if len({name.casefold() for name in clean}) != count:
        raise BadValue("Two lines have the same name. Each line of a set needs its own.", field)
    long = next((name for name in clean if len(name) > LONGEST_NAME), None)
    if long:
        raise BadValue(f"“{long}” is longer than {LONGEST_NAME} characters, too long for a row on a phone.", field)
    return clean
