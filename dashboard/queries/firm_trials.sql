-- One row: the firm's seen trials in numbers; every count is of report x deck x topic. regions, builders: those named.
-- A written-up trial is judged if it is upheld or overcalled, and overcalled if any place is. judged_passes: judged trials
-- whose strongest call is passed or advised; wrong_passes: those of them missed or understated. missed and understated
-- leave out what is written up elsewhere in the trial; where a trial is both, it counts once, as understated.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select
  count(distinct report_id) as reports,
  count(distinct deck_id) as decks,
  count(distinct inspector_id) as inspectors,
  count(distinct nullif(region, 'unknown')) as regions,
  count(distinct nullif(builder, 'unknown')) as builders,
  coalesce(sum(rows), 0)::bigint as observations,
  count(*) filter (where not seen) as not_seen,
  count(*) filter (where seen and judged) as judged,
  count(*) filter (where seen and call = 'written_up') as written_up,
  count(*) filter (where call = 'written_up' and (upheld or overcalled)) as judged_write_ups,
  count(*) filter (where call = 'written_up' and overcalled) as overcalled,
  count(*) filter (where call in ('passed', 'advised')) as passes,
  count(*) filter (where judged and call in ('passed', 'advised')) as judged_passes,
  count(*) filter (where call in ('passed', 'advised') and (missed or understated)) as wrong_passes,
  count(*) filter (where missed and not understated) as missed,
  count(*) filter (where understated) as understated
from trials
where true
    /* within.sql */
