-- One row: a trial of a topic among $looked_at that was not judged, with the observation that stands for it: of its
-- strongest call, the first by id.
-- looked: how it came to a second look that does not tell its truth; null where there was none.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with /* verified.sql */,
unjudged as (
  select report_id, deck_id, topic, inspector_id, inspected_on, call, looked
  from verified
  where truth is null
    and list_contains($looked_at::varchar[], topic)
)
select
  min(observation_id) as observation_id,
  unjudged.report_id,
  unjudged.topic,
  unjudged.inspector_id,
  unjudged.inspected_on,
  unjudged.call,
  unjudged.looked
from unjudged
inner join observations using (report_id, deck_id, topic, call)
group by all
order by observation_id
