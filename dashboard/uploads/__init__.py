"""Files that are brought to the page Data: kept for as long as it takes, laid out with a person's answers, loaded.

    folder   where they lie, and that they are gone afterwards
    asking   what the command `evenhand` says of them, and the load
    toml     a layout as its file
    layout_form  a layout as choices, and back
    questions    what is open in it, in the order in which it is best answered

A page never writes into the warehouse: the command does, in a process of its own.
"""
