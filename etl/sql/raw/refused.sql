-- Rows that were refused before the checks, into rejected: those that could not be taken apart, with the cells that there
-- were; and rows of documents that pydantic refused, by their rowid in received (raw_id).
insert into rejected by name
select * from arrived
