-- One row: an observation with its verdict and outcome, oldest report first. missing is text, measure ids joined by
-- a comma. criterion_id and basis are null where no rule decided.
-- The seven filters: null means no condition; a blank region, builder or age is the text 'unknown'.
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
  not_seen_reason,
  consequence,
  criterion_id,
  verdict,
  basis,
  outcome,
  reason,
  array_to_string(missing, ', ') as missing,
  recorded,
  measured,
  comment,
  recommendation,
  photo_count,
  code_basis
from outcomes
where ($first_day::date is null or inspected_on >= $first_day::date)
    and ($last_day::date is null or inspected_on <= $last_day::date)
    and ($regions::varchar[] is null or list_contains($regions::varchar[], region))
    and ($builders::varchar[] is null or list_contains($builders::varchar[], builder))
    and ($topics::varchar[] is null or list_contains($topics::varchar[], topic))
    and ($deck_ages::varchar[] is null or list_contains($deck_ages::varchar[], deck_age))
    and ($inspectors::varchar[] is null or list_contains($inspectors::varchar[], inspector_id))
order by inspected_on, observation_id
