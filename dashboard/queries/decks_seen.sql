-- One row: an inspector with how many decks they looked at, and one for all of them ('all').
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select
  coalesce(inspector_id, 'all') as inspector_id,
  count(distinct deck_id) as decks,
  count(distinct report_id) as reports
from trials
where seen
    /* within.sql */
group by grouping sets ((inspector_id), ())
order by grouping(inspector_id) desc, inspector_id
