-- One row: an observation with its verdict and outcome, oldest report first. missing is text, measure ids joined by
-- a comma. criterion_id and basis are null where no rule decided. written_up_elsewhere: missed or understated here, and
-- the same topic is rightly written up at another place of the deck in the same report, so that no count has it as missed.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
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
  second_look,
  outcome in ('missed', 'understated') and upheld_somewhere as written_up_elsewhere,
  comment,
  read_from_comment,
  recommendation,
  photo_count,
  code_basis
from outcomes
join (select report_id, deck_id, topic, upheld as upheld_somewhere from trials) as trial using (report_id, deck_id, topic)
where true
    /* within.sql */
order by inspected_on, observation_id
