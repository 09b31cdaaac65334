-- One row: a call x what the rules say of it, over seen trials (report x deck x topic). A written-up trial does not hold
-- if any place does not, and holds if any other does; a trial without a write-up is wrong if a recorded defect is passed
-- over or only advised upon at some place. no_rule: topics without a rule.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with said as (
  select
    call,
    case
      when call = 'written_up' and overcalled then 'overcalled'
      when call in ('written_up', 'referred') and upheld then 'upheld'
      when call <> 'written_up' and understated then 'understated'
      when call <> 'written_up' and missed then 'missed'
      when call <> 'written_up' and judged then 'cleared'
      when verdict is null then 'no_rule'
      when verdict = 'judgment' then 'judgment'
      else 'undecided'
    end as outcome
  from trials
  where seen
    /* within.sql */
)
select call, outcome, count(*) as trials
from said
group by call, outcome
