from advisor.notation.errors import MAX_TEXT, LexiconError, NotationError, TextTooLong
from advisor.notation.items import (
    Condition, EmcStatement, EnclosureType, Fragment, Impact, IngressRating, Item, Level, MagneticImmunity, Material,
    PartHeading, Pressure, Reading, Shock, Statement, Temperature, Thread, Vibration, meaning,
)
from advisor.notation.lexicon import note_text
from advisor.notation.reader import read
from advisor.notation.writer import write
