-- One row: an observation that lacks a measure, of a trial (report x deck x topic) that no rule decided; newest first.
-- Its columns: case_columns.sql.
-- $topic, $measure: a row of missing_measures.
-- $only: this observation alone, if it is among them; null for all.
-- $most, $skip: how many rows at most (null for all), after how many that are passed over.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select /* case_columns.sql */
from outcomes
where topic = $topic
    and call <> 'not_seen'
    and verdict = 'cannot_tell'
    and list_contains(missing, $measure)
    and (report_id, deck_id) in (
      select (report_id, deck_id) from trials where topic = $topic and seen and verdict = 'cannot_tell'
    )
    /* within.sql */
    and ($only::varchar is null or observation_id = $only::varchar)
order by inspected_on desc, observation_id
limit $most
offset $skip
