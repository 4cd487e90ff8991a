"""Rope by measuring: the length a count is taken over, loss of diameter, wear of the outer wires.

Nothing here says what a rope still carries. All values are exact; what is only an estimate says so in words.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from inspect_app.domain.errors import BadValue
from inspect_app.domain.units import MM_PER_INCH, Number, exact

LARGEST_MM = Fraction(150)  # no rope of a house comes near; a slip of the decimal point does

# Six strands round a core make one turn in about 6 to 7 rope diameters, eight in about as much: common practice, no
# source that could be read. A count over the longer figure can only be higher, so that one is used.
LAY_DIAMETERS = (Fraction(6), Fraction(7))
LAY_WORDS = (
    "about 6 to 7 rope diameters for ropes of six to eight outer strands (common practice, no source); an estimate: "
    "count over the longer figure, and measure the lay on the rope itself where the count comes near a limit"
)
# Windows that documents name, in rope diameters.
WINDOW_DIAMETERS: Mapping[str, Fraction] = {
    "six_diameters": Fraction(6),
    "eight_diameters": Fraction(8),
    "thirty_diameters": Fraction(30),
}
# The outer wire of a 7x19 rope by its geometry: three strands across, five wires across each: d/15, an approximation.
OUTER_WIRE_SHARE: Mapping[str, Fraction] = {"7x19": Fraction(1, 15), "7x7": Fraction(1, 9)}
OUTER_WIRE_WORDS = "an approximation from the geometry of the construction, not the maker's figure"
METHOD_WORDS = (
    "by micrometer across the worn spot of the whole rope, set against its original diameter; wires are not separated "
    "(OSHA interpretation of 1994-03-18)"
)
MEAN_WORDS = "mean of two readings at right angles (method of ISO 4309, from a secondary source)"


@dataclass(frozen=True, slots=True)
class LayLength:
    """The length of one rope lay, in mm, from `least_mm` to `most_mm`; equal when it was measured."""

    least_mm: Fraction
    most_mm: Fraction
    estimated: bool

    @property
    def words(self) -> str:
        """How it was come by."""
        return LAY_WORDS if self.estimated else "measured on the rope"


@dataclass(frozen=True, slots=True)
class Loss:
    """How much smaller a rope measures, in percent of its nominal and of its first measured diameter.

    A negative figure is a rope larger than that; None where the diameter to compare with is not known.
    """

    of_nominal_percent: Fraction | None
    of_first_percent: Fraction | None


@dataclass(frozen=True, slots=True)
class OuterWear:
    """Wear of the outer wires in percent of their own diameter, if the loss is on one face or shared by both."""

    one_face_percent: Fraction
    both_faces_percent: Fraction
    wire_mm: Fraction
    wire_estimated: bool

    @property
    def judged_percent(self) -> Fraction:
        """What to judge by unless both faces were seen to be worn: all loss on one face, the higher figure."""
        return self.one_face_percent

    @property
    def words(self) -> str:
        """How it was come by."""
        wire = f"; the diameter of an outer wire is {OUTER_WIRE_WORDS}" if self.wire_estimated else ""
        return METHOD_WORDS + wire


def lay_length(diameter_mm: Number, construction: str = "", measured_mm: Number | None = None) -> LayLength:
    """One rope lay: as measured, else estimated from the nominal diameter. Raises BadValue.

    `construction` such as 7x19; one of fewer than six or more than eight outer strands is not estimated.
    """
    diameter = _size(diameter_mm, "rope_diameter_mm")
    if measured_mm is not None:
        lay = _size(measured_mm, "lay_mm", most=LARGEST_MM * 20)
        if not 3 * diameter <= lay <= 15 * diameter:
            raise BadValue("A lay that short or long for this rope is a slip. Measure it again.", "lay_mm")
        return LayLength(lay, lay, estimated=False)
    strands = construction.partition("x")[0]
    if construction and strands not in {"6", "7", "8"}:
        raise BadValue(f"No estimate is known for a rope of construction {construction}: measure its lay.", "lay_mm")
    least, most = (times * diameter for times in LAY_DIAMETERS)
    return LayLength(least, most, estimated=True)


def window_mm(window: str, diameter_mm: Number, lay: LayLength | None = None) -> Fraction:
    """The length to count over, in mm: one lay (its longer figure), or so many diameters. Raises BadValue."""
    if window == "one_lay" and lay is not None:
        return lay.most_mm
    if window not in WINDOW_DIAMETERS:
        raise BadValue(f"“{window}” is not a length that a document counts over.", "count_window")
    return WINDOW_DIAMETERS[window] * _size(diameter_mm, "rope_diameter_mm")


def mean_diameter(first_mm: Number, second_mm: Number) -> tuple[Fraction, Fraction]:
    """The mean of two readings at right angles, and how far they lie apart, both in mm. Raises BadValue."""
    first, second = _size(first_mm, "measured"), _size(second_mm, "second")
    return (first + second) / 2, abs(first - second)


def diameter_loss(measured_mm: Number, nominal_mm: Number | None = None, first_mm: Number | None = None) -> Loss:
    """Loss against nominal and against the first measure, both shown whatever governs. Raises BadValue."""
    measured = _size(measured_mm, "measured")
    return Loss(_loss(measured, nominal_mm, "rope_diameter_mm"), _loss(measured, first_mm, "rope_baseline_mm"))


def _loss(measured: Fraction, whole_mm: Number | None, field: str) -> Fraction | None:
    if whole_mm is None:
        return None
    whole = _size(whole_mm, field)
    return 100 * (whole - measured) / whole


def outer_wire_mm(diameter_mm: Number, construction: str) -> Fraction | None:
    """The diameter of an outer wire by the geometry of the construction, or None where none is known here."""
    share = OUTER_WIRE_SHARE.get(construction)
    return None if share is None else share * _size(diameter_mm, "rope_diameter_mm")


def outer_wear(
    original_mm: Number, worn_mm: Number, construction: str = "", wire_mm: Number | None = None
) -> OuterWear:
    """Wear of the outer wires from the loss across the worn spot. Raises BadValue.

    `original_mm` is this rope's own first measure where there is one, else its nominal diameter; `wire_mm` the maker's
    figure for an outer wire, else estimated for a construction known here.
    """
    original, worn = _size(original_mm, "original"), _size(worn_mm, "worn")
    if worn > original:
        raise BadValue("The worn spot measures more than the rope did at first. Check both and their units.", "worn")
    wire = outer_wire_mm(original, construction) if wire_mm is None else _size(wire_mm, "wire_mm")
    if wire is None:
        raise BadValue(
            "The diameter of an outer wire is not known for this construction. Enter the maker's.", "wire_mm"
        )
    if wire * 3 > original:
        raise BadValue("An outer wire that thick does not belong to this rope. Check it and its unit.", "wire_mm")
    one_face = 100 * (original - worn) / wire
    if one_face > 200:
        raise BadValue(
            "More is gone than two whole outer wires: that is no wear of wires. Judge this rope by its diameter.",
            "worn",
        )
    return OuterWear(one_face, one_face / 2, wire, wire_mm is None)


def _size(value: Number, field: str, most: Fraction = LARGEST_MM) -> Fraction:
    try:
        size = exact(value)
    except BadValue as error:
        raise BadValue(error.message, field) from None
    if not 0 < size <= most:
        raise BadValue(
            f"A size of {float(size):g} mm ({float(size / MM_PER_INCH):g} in) cannot be. Check figure and unit.", field
        )
    return size
