"""The instructions that move no pen: ignored, listed, or noted."""

from __future__ import annotations

from service.drawings.hpgl.words import LABELS

#: How a machine works, not where it draws.
MANNERS = {
    "AC", "AF", "AH", "AS", "BP", "CA", "CF", "CO", "CP", "CR", "CS", "CT", "CV", "DC", "DI", "DL",
    "DP", "DR", "DT", "DV", "EC", "ES", "FI", "FN", "FR", "FS", "FT", "GC", "GM", "IM", "IW",
    "LA", "LM", "LO", "LT", "MC", "MG", "MT", "NP", "NR", "OA", "OC", "OD", "OE", "OF", "OG", "OH",
    "OI", "OK", "OL", "OO", "OP", "OS", "OT", "OW", "PC", "PG", "PP", "PS", "PT", "PW", "QL", "RF",
    "RP", "SA", "SB", "SD", "SI", "SL", "SR", "SS", "SV", "TD", "TL", "TR", "UL", "VN", "VS", "WU",
}  # fmt: skip
#: Draw something that is no outline: skipped and listed.
LISTED = {"SM": "symbols", "FP": "a fill", "RA": "a fill", "RR": "a fill", "WG": "a fill"}
LISTED |= {"XT": "a tick", "YT": "a tick", "UC": "a character", "PB": "a label"}
LISTED |= dict.fromkeys(LABELS, "a label")
NOTES = {
    "LT": "Lines of dashes (LT) are read as whole lines.",
    "IW": "Windows (IW) are not applied: lines beyond them are read.",
}
