"""The counter's keys."""

from __future__ import annotations

from app.screens.parts.keys import Deed

DEEDS = (
    Deed(
        "down",
        "to_list",
        "to the list",
        "From the ask line to the answers, where single keys act.",
        face="Enter",
        urgent=True,
    ),
    Deed("1-9", "pick", "pick", "Go to the answer of that number."),
    Deed(
        "s",
        "sell",
        "sell",
        "Sell the answer under the cursor, what is held to its holder, or everything in the basket.",
    ),
    Deed("h", "hold", "hold", "Hold the answer under the cursor, or the basket, by name and phone."),
    Deed("b", "basket", "basket", "Put it into the basket, or take it out again."),
    Deed("t", "this_one", "this one", "With a basket: act on this one alone, or on the basket again.", shown=False),
    Deed("w", "want", "want", "Write a want: who is to be called when it comes in."),
    Deed("q", "quote", "quote", "Quote the answer under the cursor, or the basket, all or none.", shown=False),
    Deed("g", "sets", "quotes", "Open quotes and held sets, those short of a piece first.", shown=False),
    Deed("x", "correct", "correct", "Put right what was understood, one thing at a time."),
    Deed("backspace", "take_back_reply", "take back", "Take the customer's last answer back.", face="⌫", shown=False),
    Deed("n", "why_not", "why not", "Why not this one: type a tag and read the reason."),
    Deed("f", "fits", "fits", "What does this tag fit: every vehicle, best first."),
    Deed("f7", "takes", "put on", "Say what it would take to put this on that.", urgent=True),
    Deed("k", "hold_longer", "hold longer", "Keep it for days against a deposit.", shown=False),
    Deed("u", "release", "release", "Let a held part go again.", shown=False),
    Deed("d", "fold", "don't sell", "Show or fold what is not to be sold, with its reasons."),
    Deed("enter", "in_full", "in full", "Everything about the answer under the cursor.", shown=False),
    Deed("m", "measure", "answer", "State what the customer sees, counts or measures.", shown=False),
    Deed("v", "void", "void", "Void a paid ticket, with a reason.", shown=False),
    Deed(
        "o", "left_open", "open tickets", "Tickets left open, payments not recorded, receipts not printed.", shown=False
    ),
    Deed("slash,escape", "to_line", "words", "Back to the ask line.", face="/"),
    Deed("tab,f2", "other", "other", "The other customer: two asks stand at once, each as it was left.", face="Tab"),
    Deed("f9", "new_ask", "new", "Clear the line for the next customer; on an empty line the one before is back."),
)
ON_LINE = frozenset({"sell", "hold", "hold_longer", "basket", "in_full", "quote"})
"""What acts on the answer under the cursor."""
ON_BASKET = frozenset({"sell", "hold", "hold_longer", "quote"})
"""What of that acts on the basket where there is one."""
RESERVED = frozenset(deed.key for deed in DEEDS if len(deed.key) == 1)
"""Small letters that do something; capitals are left to the choices of a question."""
