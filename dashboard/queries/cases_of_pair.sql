-- One row: an observation of a topic on one deck in one of two reports; the first report's come first, stronger calls
-- before weaker ones. Its columns: case_columns.sql.
-- $topic, $deck, $reports: a pair; its two reports in the order in which they are wanted.
-- $only: this observation alone, if it is among them; null for all.
-- $most, $skip: how many rows at most (null for all), after how many that are passed over.
select /* case_columns.sql */
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
