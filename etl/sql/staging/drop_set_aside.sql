-- Repeated rows leave the rows that are staged; those that were refused after all do not count as repeated.
delete from set_aside where raw_id in (select raw_id from rejected);

delete from staged where raw_id in (select raw_id from set_aside)
