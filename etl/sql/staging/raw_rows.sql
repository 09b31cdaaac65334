-- The rows of flat tables, to be typed and checked in bulk; those of documents have been through pydantic.
create or replace temp view raw_rows as
select rowid as raw_id, * from received where not document
