-- One row: a value read out of one observation's comment. $observation_id: report_id and observation_no joined by a colon.
select measure, value, "start", "end"
from comment_reads
where observation_id = $observation_id
order by "start", measure
