-- The rows in which some value breaks the contract.
create temp table bad_rows as select raw_id from staged where bad
