-- A deck without an id is the deck of its property, else of its report.
update staged set deck_id = coalesce(property_id, report_id) where deck_id is null
