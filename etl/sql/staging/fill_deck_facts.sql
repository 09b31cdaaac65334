-- A fact that a row leaves blank and another row of its deck has: the row gets it.
update staged
set
    deck_built_year = coalesce(staged.deck_built_year, deck_facts.deck_built_year),
    deck_built_basis = coalesce(staged.deck_built_basis, deck_facts.deck_built_basis),
    builder = coalesce(staged.builder, deck_facts.builder),
    deck_height_in = coalesce(staged.deck_height_in, deck_facts.deck_height_in),
    ledger_attached = coalesce(staged.ledger_attached, deck_facts.ledger_attached)
from deck_facts
where staged.report_id = deck_facts.report_id and staged.deck_id = deck_facts.deck_id and deck_facts.partial
