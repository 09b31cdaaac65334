-- One row: a rule of the catalog, in the order of its topics. document, edition and section are null where the rule has
-- no published source; needs is the list of its measures. defect_told, judgment_told and acceptable_told are the limits
-- in words, null where it never says so; applies is null where it always holds, rows_known where it reads no table;
-- jurisdiction, author and dated are null but for a local rule. No parameters.
select criteria.*
from criteria
left join topics using (topic)
order by topics.position, criteria.position, criterion_id
