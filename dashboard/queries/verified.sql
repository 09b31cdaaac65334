-- Not a query: the common table expression `verified`, put after `with` in place of the comment that names this file.
-- One row: a seen trial with what is known of its truth, apart from those that the rule leaves to the inspector.
-- truth: defect or acceptable; null where it is not known. by_look: it is known by a random second look alone.
-- A look that was chosen for what it would show, or after a dispute, is not in the verdict of a trial (trials.sql).
-- looked: how the trial came to a second look; null where there was none.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
verified as (
  select
    *,
    case when judged then verdict end as truth,
    judged and coalesce(ruled not in ('defect', 'acceptable'), true) as by_look
  from trials
  where seen
    and ruled is distinct from 'judgment'
    /* within.sql */
)
