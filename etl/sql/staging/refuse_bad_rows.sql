-- Rows in which some value breaks the contract, with what is wrong (bad_reasons, made from the contract).
insert into rejected by name
select raw_id, received.file_no, received.report_id, received.observation_no, bad_reasons.reasons
from bad_reasons
inner join received on bad_reasons.raw_id = received.rowid
