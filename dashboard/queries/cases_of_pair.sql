-- One row: an observation of a topic on one deck in one of two reports; the first report's come first, stronger calls
-- before weaker ones. missing is text, measure ids joined by a comma. in_all: how many there are, whatever $most and $skip
-- leave of them.
-- $topic, $deck, $reports: a pair; its two reports in the order in which they are wanted.
-- $only: this observation alone, if it is among them; null for all.
-- $most, $skip: how many rows at most (null for all), after how many that are passed over.
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
  photo_count,
  count(*) over () as in_all
from outcomes
where topic = $topic
  and deck_id = $deck
  and list_contains($reports::varchar[], report_id)
  and ($only::varchar is null or observation_id = $only::varchar)
order by
  list_position($reports::varchar[], report_id),
  list_position(['written_up', 'referred', 'advised', 'passed', 'not_seen'], call),
  observation_id
limit $most
offset $skip
