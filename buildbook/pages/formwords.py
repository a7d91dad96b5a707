"""What the page on which a session is written says by itself: the words of its scripts.

Names and explanations of its fields come from the records' schema, and are English.
"""

from buildbook.pages.words import ENGLISH, language, mark, translated

WORDS = (
    mark("write “%(text)s” with a point"),
    mark("“%(text)s” could be read two ways; write %(time)s"),
    mark("“%(text)s” is not a length of time; write it as 2h30 or 150 min"),
    mark("“%(text)s” has %(minutes)s minutes after the hours; an hour has 60"),
    mark("write year-month-day, as 2025-03-08"),
    mark("“%(text)s” is in an unlikely year"),
    mark("this date is still to come"),
    mark("no time at all is given; write how long it took"),
    mark("this does not fit into one day; minutes are written as 150 min"),
    mark("write a whole number, as 12"),
    mark("“%(text)s” is not written as it should be"),
    mark("write it as %(example)s"),
    mark("this is longer than %(count)s letters"),
    mark("the book has nothing called “%(text)s” here; choose what is there"),
    mark("“%(field)s” is needed here"),
    mark("this needs “%(field)s” as well"),
    mark("choose what was worked on"),
    mark("write how long it took"),
    mark("write how long it took, or from when to when"),
    mark("there is a session of this date and title already; give this one another title"),
    mark("not chosen"),
    mark("Now"),
    mark("Take %(name)s out"),
    mark("Remove"),
    mark("%(field)s: one more"),
    mark("Add"),
    mark("written"),
    mark("Add a %(record)s"),
    mark("Remove %(record)s"),
    mark("More about this %(record)s"),
    mark("Name a %(record)s that is in the book"),
    mark("Name it"),
    mark("choose the operation that was done on the pieces"),
    mark("if it is meant, write the reason in “Knowingly”"),
    mark("%(pieces)s was done already"),
    mark("%(pieces)s was scrapped"),
    mark(
        "Tick the pieces that are finished in this operation, or only the part where they are not."
    ),
    mark("Choose the operation to tick pieces; a part that was worked on can be ticked now."),
    mark("Done already: %(count)s parts"),
    mark("Done already: 1 part"),
    mark("All %(count)s that are left"),
    mark("worked on"),
    mark("done"),
    mark("scrapped"),
    mark("squawk %(number)s"),
    mark("spare"),
    mark("the book has no part “%(part)s”"),
    mark("Another part"),
    mark("Reading the times…"),
    mark("Pick from this device"),
    mark("Only names and times are taken. Copy the files themselves into the book with"),
    mark("; the names written here are those it gives them."),
    mark("by the camera's clock"),
    mark("the file's own time, as the camera's is not in it"),
    mark("Work began and ended with these: %(date)s, %(first)s to %(last)s"),
    mark("Worked on last"),
    mark("More about this work"),
    mark("Add another piece of work"),
    mark("Piece of work %(number)s"),
    mark("More about this piece of work"),
    mark("Remove piece of work %(number)s"),
    mark("For the whole session"),
    mark("What holds for all of it. Hours stand here or with each piece of work."),
    mark("A draft is kept in this browser."),
    mark("This browser keeps no draft: save the file before you leave this page."),
    mark("One thing to mend. You may have the file as it is and mend it later."),
    mark("%(count)s things to mend. You may have the file as it is and mend it later."),
    mark(
        "%(file)s is with this device's downloads. Put it into the folder %(folder)s of the book."
    ),
    mark("Shared. Take the .txt off its name when you put it into the book."),
    mark("Shared."),
    mark("Not shared."),
    mark("This browser does not share it. Download or copy it."),
    mark("This browser shares no .yml files. Press Share again to send it as %(file)s.txt."),
    mark("This browser copies nothing by itself. The text is marked: copy it by hand."),
    mark("Copied. Paste it into a new file, %(file)s."),
    mark("Saving…"),
    mark(
        "Not saved: buildbook serve does not answer. The draft is kept; start it again, "
        "or download the file."
    ),
    mark("line %(line)s"),
    mark("Not saved: %(error)s."),
    mark("Saved as %(file)s."),
    mark("The book says of it:"),
    mark("This is the draft that was kept in this browser."),
    mark("The draft that was kept in this browser cannot be read here."),
)
"""In the order of the scripts; they fill in the values themselves."""


def form_words() -> dict[str, str]:
    """Give the scripts their words in the language in force; none where that is English."""
    if language() == ENGLISH:
        return {}
    return {english: translated(english) for english in WORDS}
