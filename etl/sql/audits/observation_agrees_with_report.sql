-- An observation carries its report's facts.
select observations.observation_id
from observations inner join reports using (report_id)
where
    observations.inspected_on is distinct from reports.inspected_on
    or observations.inspector_id is distinct from reports.inspector_id
    or observations.region is distinct from reports.region
