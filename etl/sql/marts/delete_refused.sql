-- Refused rows that are outstanding no more. $row_ids: their rowids.
delete from refused where list_contains($row_ids::bigint [], rowid)
