"""Reads what spec sheets write: codes, ranges, materials, statements, with what limits them and where they stand.

`read(text, heading="")` takes a short text (a cell, a line, a sentence) and gives a `Reading`: the `items` found,
in order, and the `unread` stretches. `read_sheet` of `sheet_text` takes a whole pasted sheet and gives claims by
part and line. `write(item)` prints an item in its normal form, which reads as the same item. The words are data in
`knowledge/notation/*.yaml` and the names of materials in `knowledge/tables/materials*.yaml`; a person of the trade
extends them there.

How a text is read, level by level (each level is one module or a few, each states its grammar at its head):

    text      -> tokens     numbers, words, signs; German compounds cut in two               tokens
    tokens    -> elements   IP code, type, IK code, standard, law, thread, material name,    scan, codes, figures,
                            phrase, quantity, mark, unknown word                             references
    elements  -> drafts     ingress    = code { details }                                    ratings
                            shock      = acceleration time { count axes }                    mechanics
                            vibration  = frequencies ( travel | acceleration )               mechanics
                            emc        = standard { level | figure }                         fields
                            magnetic   = flux | field | weld word, { waveform frequency }    fields
                            statement  = phrase { figure law standard } | law | standard     sayings
                            range      = [ limit ] figure [ joint figure ] unit              ranges
                            material   = name { name } [ filler ]                            names
    drafts    -> items      clause     = segment { mark segment }, ends at ; . line end      attach
                            segment    = { qualifier } { draft } { qualifier }
                            qualifier  = condition | part | role | limit | finish | standard
                            denial     = negation { draft } | draft negation                 denial
    the rest  -> unread     whatever no draft took, merged into stretches                    reader

Rules that hold throughout: a code that does not exist is an item without credit, not silence; a qualifier that could
go to several ratings goes to all of them; a doubtful figure is read as the lesser claim or noted; a word that is in
no list is reported; nothing raises but `TextTooLongError`.
"""

from advisor.notation.errors import MAX_TEXT, LexiconError, NotationError, TextTooLongError
from advisor.notation.items import (
    Condition,
    EmcStatement,
    EnclosureType,
    Fragment,
    Impact,
    IngressRating,
    Item,
    Level,
    MagneticImmunity,
    Material,
    PartHeading,
    Pressure,
    Reading,
    Shock,
    Statement,
    Temperature,
    Thread,
    Vibration,
    meaning,
)
from advisor.notation.lexicon import note_text
from advisor.notation.reader import read
from advisor.notation.sheet_text import Claim, Missed, SheetText, read_sheet
from advisor.notation.writer import write

__all__ = [
    "MAX_TEXT",
    "Claim",
    "Condition",
    "EmcStatement",
    "EnclosureType",
    "Fragment",
    "Impact",
    "IngressRating",
    "Item",
    "Level",
    "LexiconError",
    "MagneticImmunity",
    "Material",
    "Missed",
    "NotationError",
    "PartHeading",
    "Pressure",
    "Reading",
    "SheetText",
    "Shock",
    "Statement",
    "Temperature",
    "TextTooLongError",
    "Thread",
    "Vibration",
    "meaning",
    "note_text",
    "read",
    "read_sheet",
    "write",
]
