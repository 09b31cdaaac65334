-- Refused rows leave the rows that are staged.
delete from staged where raw_id in (select raw_id from rejected)
