-- One row: a rule of the catalog, in the order of its topics. document, edition and section are null where
-- the rule has no published source; needs is the list of its measures. No parameters.
select criteria.*
from criteria
left join topics using (topic)
order by topics.position, criteria.position, criterion_id
