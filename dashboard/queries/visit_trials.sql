-- One row: a trial (report x deck x topic), seen or not, with the number of its visit (visits.sql).
-- verdict: null where nothing was seen or no rule is there. written_up: at any place. looked: how the trial came to a
-- second look; null where there was none.
-- The eight filters: null means no condition.
select
  dense_rank() over (order by report_id, deck_id) as visit,
  topic,
  seen,
  call,
  seen and call = 'written_up' as written_up,
  verdict,
  overcalled,
  missed,
  understated,
  looked
from trials
where true
    /* within.sql */
order by visit, topic
