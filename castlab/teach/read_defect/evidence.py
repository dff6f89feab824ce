"""What can be found out about a casting that lies sawn through on the table: pictures without an explanation,
and pieces of evidence, each read off the computed casting."""

from dataclasses import dataclass, replace

from castlab.errors import InputError
from castlab.field.diagnosis import CAUSES, EMPTY_FEEDER
from castlab.field.holes import the
from castlab.field.own_part import OwnPart
from castlab.field.placed import there
from castlab.field.rigging import BLIND
from castlab.materials import alloy
from castlab.teach.bench.casting import casting_scene
from castlab.teach.picture.scene import Label, Scene
from castlab.teach.read_defect.hidden_castings import higher_feeder, insulate, short_range, wider_neck
from castlab.teach.read_defect.own_lot import standing, widths_of
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.text.sentence import listed, worth_a_label

LOOKS = {"sink": "open hollow", "cavity": "closed hollow", "pipe_into_casting": "open hollow",
         "sponge": "fine holes"}
CUT_OFF = ("feeder", "gate", "sleeve", "chill")
FACES = {"bottom": "lower face", "top": "upper face", "left": "left end", "right": "right end",
         "front": "front", "back": "back"}
FAR_M = 1.0
SAME = 0.10  # a hole that changes by less than this share is the same hole


@dataclass(frozen=True)
class Piece:
    """One piece of evidence: its button, its words, and a scene where it comes with a picture."""

    key: str
    button: str
    words: object
    scene: object = None


# ---- pictures


def sawn_scene(casting, units, roles=("casting", "core")):
    """The section as the saw leaves it: bodies of these roles in plain grey, holes, no order of freezing."""
    kept, section = sawn_layout(casting.setup.layout, roles), casting.section
    sawn = replace(section, layout=kept, last_place=None, sawn=True)
    labels = [casting.hole_label(piece, LOOKS[piece.kind], units) for piece in worth_a_label(casting.account)]
    if "feeder" in roles:
        labels += [Label(block.name, block.middle) for block in kept.blocks
                   if block.role in ("feeder", "gate", "chill")]
    return Scene(sawn, tuple(labels))


def sawn_layout(layout, roles=("casting", "core")):
    """The bodies of these roles, in the open: the flask's edge would tell how high a feeder stood."""
    far = tuple(high + FAR_M for high in layout.high)
    return replace(layout, blocks=tuple(block for block in layout.blocks if block.role in roles), high=far)


def sawn_words(casting, units):
    """The same in words: what holes there are, and in which part of the casting."""
    here, elsewhere = {}, {}
    for piece in worth_a_label(casting.account):
        sums = elsewhere if casting.hole_label(piece, "", units).off else here
        key = LOOKS[piece.kind], piece.block
        sums[key] = sums.get(key, 0.0) + piece.volume_m3
    holes, hidden = ([_hole(look, block, units.volume(volume)) for (look, block), volume in sums.items()]
                     for sums in (here, elsewhere))
    share = 100.0 * casting.account.defect_share
    seen = f"On the sawn face: {listed(holes) if holes else 'no hole that the eye finds'}."
    if hidden:
        seen += f" Off it, before or behind: {listed(hidden)}."
    return f"{seen} In all that is {share:.1f} % of the casting." if holes or hidden else seen


def _hole(look, block, size):
    if look == "fine holes":
        return f"fine holes like a sponge in {the(block)}, {size} in all"
    return f"{'an' if look[0] == 'o' else 'a'} {look} of {size} in {the(block)}"


# ---- pieces of evidence: each a function (bench, hidden, casting, units) -> words


def scrap(bench, hidden, casting, units):
    """Gate, sprue and feeder, found in the scrap and sawn through as well."""
    values = hidden.values
    if not values["feeder_width"]:
        return f"In the scrap lie the gate and the sprue. There was no feeder.{_chills(hidden, units)}"
    neck, sleeve = values["neck_width"], values["sleeve_thickness"]
    widths = [values["feeder_width"]]
    if isinstance(hidden.part, OwnPart):
        widths = sorted(widths_of(hidden.part, hidden.fixed, values), reverse=True)
    wide = listed([units.length(width) for width in dict.fromkeys(widths)])
    lie, each, whole = ("a feeder", "", "the feeder") if len(widths) == 1 else (
        f"{len(widths)} feeders", "each ", "all that they held")
    size = f"{wide} wide and {each}{units.length(values['feeder_height'])} high"
    size = f"{each}{size}" if len(set(widths)) == 1 else size
    on = f", on a neck of {units.length(neck)}" if neck else ""
    within = f", in an insulating sleeve of {units.length(sleeve)}" if sleeve else ""
    closed = ", closed on top" if BLIND in dict(hidden.fixed).values() else ""
    given = 100.0 * casting.account.feeder_emptied
    return (f"In the scrap lie the gate, the sprue and {lie}, {size}{on}{within}{closed}. {given:.0f} % of "
            f"{whole} is hollow.{_chills(hidden, units)}")


def _chills(hidden, units):
    """What lay in the sand against the casting, where it is a part of one's own."""
    if not isinstance(hidden.part, OwnPart):
        return ""
    chills = there(standing(hidden.part, hidden.fixed))["chill"].values()
    return "".join(f" In the sand lies a {chill.material}, {units.length(chill.thickness)} thick, that stood "
                   f"against the {FACES[chill.side]} of the casting." for chill in chills)


def times(bench, hidden, casting, units):
    """When each body was wholly solid, the earliest first."""
    order = sorted(casting.account.froze_s.items(), key=lambda item: item[1])
    listed = ", ".join(f"{name} {casting.plain_time(when, units)}" for name, when in order)
    return f"Wholly solid after the pour: {listed}."


def freeze_map(bench, hidden, casting, units):
    """The order of freezing in colours."""
    account = casting.account
    last = max(account.froze_s, key=account.froze_s.get)
    return (f"The map in colours comes with its button: dark froze early, bright late. The last "
            f"metal of all froze in {the(last)}, {units.time(casting.run.last_time_s)} after the pour.")


def _what_if(words_of, change_of, nothing):
    """A piece that pours once more with one thing changed."""

    def piece(bench, hidden, casting, units):
        change = change_of(hidden.values)
        if not change:
            return nothing
        try:
            other = bench.solve(**(hidden.values | change))
        except InputError as error:
            why = sentence_of(error, units)
            return f"Poured again {words_of(change, units)}: it cannot be cast so. {why}"
        return f"Poured again {words_of(change, units)}: {_compared(casting, other, units)}"

    return piece


def _compared(before, after, units):
    old, new = before.account.defect_m3, after.account.defect_m3
    if after.sound:
        return "the casting is sound."
    holes = f"holes of {units.volume(new)} in all, before {units.volume(old)}"
    if abs(new - old) < SAME * old:
        return f"{holes}. That is no change worth the name."
    return f"{holes}. That is {'better, but no cure' if new < old else 'worse'}."


def _last(cures):
    """The change of a cure as far as it goes; None where there is nothing to change."""
    return lambda values: (cures(values) or [None])[-1]


PIECES = {
    piece.key: piece
    for piece in (
        Piece("scrap", "look in the scrap for the feeder", scrap,
              lambda casting, units: sawn_scene(casting, units, ("casting", "core", *CUT_OFF))),
        Piece("times", "when was each part solid?", times),
        Piece("map", "map of the freezing", freeze_map,
              lambda casting, units: casting_scene(casting.setup, casting, units)),
        Piece("hotter", "what if poured hotter?", _what_if(
            lambda change, units: f"at {units.temperature(change['pour_temp_c'])}",
            lambda values: {"pour_temp_c": alloy(values["alloy"]).pour_range_c[1]}, "")),
        Piece("higher", "what if the feeder were higher?", _what_if(
            lambda change, units: f"with a feeder {units.length(change['feeder_height'])} high",
            _last(higher_feeder), "There is no feeder that could be made higher.")),
        Piece("sleeve", "what if it had a thick sleeve?", _what_if(
            lambda change, units: f"in a sleeve of {units.length(change['sleeve_thickness'])}",
            _last(insulate), "There is no feeder to put a sleeve round.")),
        Piece("neck", "what if the neck were wider?", _what_if(
            lambda change, units: "with the feeder's whole foot on the casting", _last(wider_neck),
            "There is no neck that could be made wider.")),
        Piece("alloy", "what if the freezing range were short?", _what_if(
            lambda change, units: f"in {change['alloy']}, which freezes over a short range",
            _last(short_range), "The alloy freezes over a short range already.")),
    )
}


# ---- what the evidence says


def reading(casting, units):
    """What times, volumes and the look of the holes say, one after the other, up to the cause."""
    diagnosis = casting.diagnosis
    hole, so = diagnosis.hole, f"So: {CAUSES[diagnosis.cause]}."
    if hole.kind == "sponge":
        return (f"Nearly all holes are fine and lie between the crystals, in {the(hole.block)}. A feeder "
                f"that is too small, too cold or cut off leaves hollows. {so}")
    start = "The holes are hollows and no sponge. "
    if diagnosis.cause == "no feeder":
        closed = casting.plain_time(casting.account.gate_closed_s, units)
        return f"{start}There was no feeder, and gate or sprue was solid after {closed}. {so}"
    froze, holed = (casting.plain_time(each, units) for each in
                    (diagnosis.feeder_froze_s, diagnosis.hole_froze_s))
    return (f"{start}There was a feeder. It gave {100 * diagnosis.feeder_gave:.0f} % of its metal (from "
            f"about {100 * EMPTY_FEEDER:.0f} % on it counts as empty: the rest freezes on its walls). It was "
            f"solid after {froze}, {the(hole.block)} after {holed}. {so}")
