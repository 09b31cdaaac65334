-- Not a query: the id of a stock sentence within its topic, from its `text` with gaps (stock_text.sql); put in place of the
-- comment that names this file.
'S-' || upper(left(sha256(topic || ' ' || lower(text)), 10))
