"""The words of the trade that the lessons use, each explained in a sentence: a page made by
`python -m castlab.teach.text.glossary`.
"""

from dataclasses import dataclass
from pathlib import Path

PAGE = Path(__file__).resolve().parents[3] / "notebooks" / "lessons" / "GLOSSARY.md"
OPENING = """# Words of the trade

Each word is explained where it is first used; the number is that of the lesson. Some words mean more
elsewhere than they mean here. In brackets: what else it is called, in other shops, in books or in America.
Words without a number are not needed in the lessons, but you will hear them in every foundry.
"""


@dataclass(frozen=True)
class Word:
    """A word of the trade.

    `lesson`: the number of the lesson that explains it, 0 where none needs it; `means`: the explanation;
    `forms`: how else it is written in the lessons; `also`: what others call it.
    """

    name: str
    lesson: int
    means: str
    forms: tuple[str, ...] = ()
    also: tuple[str, ...] = ()

    @property
    def line(self):
        """The word as it stands on the page."""
        names = f"**{self.name}**" + (f" ({', '.join(self.also)})" if self.also else "")
        return f"- {names}: {self.means}" + (f" (lesson {self.lesson})" if self.lesson else "")


WORDS = (
    # 1. The first casting
    Word("alloy", 1, "a metal that is a mixture of several metals."),
    Word("boss", 1, "a short thick block on a casting, often where a hole is drilled later."),
    Word("casting", 1, "what liquid metal becomes in a mould, when it is solid; also the work of making it."),
    Word("shrinkage cavity", 1, "a hole closed on all sides, so that one sees it only after sawing.",
         ("cavity", "cavities", "shrinkage cavities")),
    Word("charge", 1, "the solid metal that is put into the crucible to be melted."),
    Word("crucible", 1, "the pot in which metal is melted.", ("pot", "pots")),
    Word("eye plate", 1, "a plate screwed to a deck, with a heavy end that holds a rope.", (),
         ("pad eye",)),
    Word("feeder", 1, "a body of extra metal that gives liquid to the casting and is cut off afterwards.", (),
         ("riser in America",)),
    Word("feed demand", 1, "what the metal loses while it cools as a liquid and freezes.", (),
         ("feed metal needed",)),
    Word("feed path", 1, "the way that liquid takes from a feeder to the place that needs it."),
    Word("freezing", 1, "becoming solid; for metal this happens far above the cold of ice.",
         ("freeze", "freezes", "frozen", "froze")),
    Word("gate", 1, "the opening through which metal enters the casting from the sprue.", (), ("ingate",)),
    Word("hub", 1, "the middle of a wheel, round the axle."),
    Word("modulus", 1, "volume divided by cooling surface: the larger it is, the longer a body stays liquid.",
         ("moduli",)),
    Word("mould", 1, "the hollow form, of sand, plaster, ceramic or iron, into which metal is poured.", (),
         ("mold in America",)),
    Word("pipe", 1, "the hollow that stays where liquid has run out of a feeder or sprue; harmless there, a "
                    "defect where it reaches into the casting."),
    Word("rim", 1, "the outer ring of a wheel."),
    Word("sheave", 1, "a wheel with a groove over which a rope runs."),
    Word("sink", 1, "a hollow in the outer face of a casting, where the metal below it went away."),
    Word("sound", 1, "without holes that matter."),
    Word("sponge", 1, "many fine holes between the crystals, where liquid could not reach.", (),
         ("microporosity", "shrinkage porosity")),
    Word("sprue", 1, "the upright channel through which metal runs down into the mould.", (), ("downsprue",)),
    Word("web", 1, "the thin disc between hub and rim."),
    # 2. Three shrinkages
    Word("field", 2, "in these lessons: the computation that follows heat and metal from place to place."),
    Word("freezing contraction", 2, "the loss of volume while liquid becomes solid."),
    Word("liquid contraction", 2, "the loss of volume while the liquid cools to where it begins to freeze."),
    Word("liquidus", 2, "the temperature at which an alloy, on cooling, begins to freeze."),
    Word("pattern", 2, "the model round which a mould is made; it is larger than the casting."),
    Word("pattern-maker's allowance", 2, "how much larger the pattern is, as the solid casting shrinks.", (),
         ("shrinkage allowance", "shrink rule in America")),
    Word("rule", 2, "in these lessons: what one works out by hand, from a drawing and a few numbers."),
    Word("solid contraction", 2, "the shrinking of the solid casting while it cools to that of the room."),
    Word("solidus", 2, "the temperature at which the last liquid of an alloy has frozen."),
    # 3. Modulus and freezing order
    Word("die", 3, "a mould of iron or steel that is used many times.", (), ("permanent mold in America",)),
    Word("investment", 3, "a mould of fine powder and binder, set round a wax model that is melted out."),
    Word("junction", 3, "a place where two walls meet, and with them more metal than in either."),
    Word("superheat", 3, "how far above the liquidus a metal is poured."),
    # 4. Heavy sections
    Word("bracket", 4, "a fitting with a base, a rib and a wall, that holds something."),
    Word("chill", 4, "a block of metal in the mould wall that takes heat away faster than sand does."),
    Word("core", 4, "a body of sand inside the mould; where it lies the casting is hollow."),
    Word("fillet", 4, "a rounded inner corner.", ("fillet radius",)),
    Word("hot spot", 4, "a place that stays hot longest because there is more metal than round it."),
    Word("taper", 4, "a section that grows evenly from one end to the other."),
    # 5. Feeders
    Word("blind feeder", 5, "a feeder closed over by sand.", ("blind",)),
    Word("govern", 5, "of two answers of a rule, the larger governs: it is the one to build.", ("governs",)),
    Word("neck", 5, "a narrow piece between feeder and casting, easy to cut."),
    Word("open feeder", 5, "a feeder whose top reaches the air.", ("open",)),
    Word("sleeve", 5, "a ring round the feeder, of a material that keeps its heat."),
    Word("yield", 5, "the share of all metal in the mould that ends up as casting."),
    # 6. Cures without a feeder
    Word("marginal", 6, "so near the edge that the uncertainty of the data decides."),
    Word("padding", 6, "metal added to a section so that it grows towards what feeds it."),
    # 7. Superheat and filling
    Word("film", 7, "coating and gap between metal and an iron mould, which hold back heat."),
    Word("contact", 7, "how well a mould touches the metal; sand touches it at its grains only."),
    Word("choke", 7, "the narrowest place on the way of the metal; it decides how fast the mould fills."),
    Word("misrun", 7, "a casting that is not full, because the metal stopped before it got everywhere."),
    # 8. The melt plan
    Word("dross", 8, "the skin of oxide and dirt on a melt, which is skimmed off."),
    Word("elements", 8, "the wires in a furnace that electricity heats; sensor and display follow them."),
    Word("heel", 8, "the metal that stays in the pot after the pour."),
    Word("latent heat", 8, "the heat that a metal takes up in melting and gives back in freezing."),
    Word("returns", 8, "old gates, sprues and feeders of the same alloy that are melted again.", ("return",)),
    Word("set point", 8, "the temperature that one asks of a furnace, set on its display."),
    # 9. Sponge and gas
    Word("arm spacing", 9, "how far apart the side arms of crystals stand; wider where freezing is slower."),
    Word("cooling rate", 9, "by how many degrees a place cools in each second."),
    Word("gradient", 9, "how steeply the temperature rises from one place to the next."),
    Word("mush", 9, "crystals with liquid between them, in an alloy that freezes over many degrees."),
    Word("Niyama's value", 9, "gradient over the root of the cooling rate; a low value warns of sponge.",
         ("Niyama", "Ny")),
    Word("skin", 9, "the solid layer that grows inwards from the wall, where a metal has no mush."),
    # 10. Read the defect
    Word("freezing range", 10, "from the temperature of the first crystal to that of the last liquid."),
    Word("heat diffusivity", 10, "how strongly a mould draws heat from metal: high for iron, low for sand."),
    # Heard in every foundry, needed in no lesson
    Word("cold shut", 0, "a seam where two streams of metal met too cold to become one."),
    Word("cope", 0, "the upper half of a mould that is made in two.", (), ("top half",)),
    Word("directional solidification", 0, "freezing in order, from the far end towards the feeder."),
    Word("draft", 0, "the slight slope of a pattern's sides, so that it comes out of the sand.", (),
         ("taper of a pattern",)),
    Word("drag", 0, "the lower half of a mould that is made in two.", (), ("bottom half",)),
    Word("flask", 0, "the frame of wood or metal that holds the sand of a mould.", (), ("moulding box",)),
    Word("parting", 0, "the face where the two halves of a mould meet.", (), ("joint", "parting line")),
    Word("porosity", 0, "small holes in a casting, of whatever cause: gas, shrinkage or both."),
    Word("runner", 0, "the level channel that leads metal from the foot of the sprue to the gates."),
    Word("vent", 0, "a narrow channel through which air and gas leave the mould."),
)


def page():
    """The page: words in the order of the alphabet."""
    lines = [word.line for word in sorted(WORDS, key=lambda word: word.name.lower())]
    return "\n".join((OPENING, *lines, ""))


def main():
    """Write the page."""
    PAGE.write_text(page(), encoding="utf-8")
    print(f"{PAGE.name}: {len(WORDS)} words.")


if __name__ == "__main__":
    main()
