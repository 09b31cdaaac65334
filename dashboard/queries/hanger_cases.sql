-- One row: an observation of hanger size with this joist and this hanger, newest first.
-- $joist, $hanger: nominal sizes (2x10); null for a size that was not recorded.
-- $calls, $outcomes: lists; null for any. $most: how many rows at most.
-- The seven filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with sized as (
  select observation_id
  from observations
  where topic = 'hanger_size'
    and joist_nominal is not distinct from $joist::varchar
    and hanger_nominal is not distinct from $hanger::varchar
)
select
  observation_id,
  report_id,
  inspected_on,
  inspector_id,
  deck_id,
  region,
  builder,
  deck_age_years,
  deck_age,
  deck_height,
  topic,
  place,
  call,
  consequence,
  criterion_id,
  verdict,
  outcome,
  reason,
  array_to_string(missing, ', ') as missing,
  recorded,
  measured,
  comment,
  recommendation,
  photo_count
from outcomes
where observation_id in (select observation_id from sized)
    and topic = 'hanger_size'
    and ($first_day::date is null or inspected_on >= $first_day::date)
    and ($last_day::date is null or inspected_on <= $last_day::date)
    and ($regions::varchar[] is null or list_contains($regions::varchar[], region))
    and ($builders::varchar[] is null or list_contains($builders::varchar[], builder))
    and ($topics::varchar[] is null or list_contains($topics::varchar[], topic))
    and ($deck_ages::varchar[] is null or list_contains($deck_ages::varchar[], deck_age))
    and ($inspectors::varchar[] is null or list_contains($inspectors::varchar[], inspector_id))
    and ($calls::varchar[] is null or list_contains($calls::varchar[], call))
    and ($outcomes::varchar[] is null or list_contains($outcomes::varchar[], outcome))
order by inspected_on desc, observation_id
limit $most
