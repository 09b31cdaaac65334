-- One row: an observation that a person should read: noted as not seen, and yet its measures decide; or written up
-- against its own measures, with a comment that names another fault. None that a person has looked at again.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select
  observation_id,
  report_id,
  inspected_on,
  inspector_id,
  deck_id,
  topic,
  place,
  call,
  case when call = 'not_seen' then 'not_seen_but_measured' else 'comment_names_another_fault' end as contradiction,
  verdict,
  reason,
  not_seen_reason,
  comment
from outcomes
where (second_look or (call = 'not_seen' and basis <> 'second_look' and verdict in ('defect', 'acceptable')))
    /* within.sql */
order by inspected_on, observation_id
