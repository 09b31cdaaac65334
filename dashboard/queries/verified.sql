-- Not a query: the common table expression `verified`, put after `with` in place of the comment that names this file.
-- One row: a seen trial with what is known of its truth, apart from those that the rule leaves to the inspector.
-- truth: defect or acceptable; null where it is not known. by_look: it is known by a random second look alone.
-- A random look stands above the rule. A look that was chosen for what it would show, or after a dispute, does not enter:
-- the truth is then what the rule said, and not known where the rule could not tell.
-- looked: how the trial came to a second look; null where there was none.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
ruled as (
  -- What the rules alone say of the trials that a person looked at.
  select
    report_id,
    deck_id,
    topic,
    case
      when bool_or(verdict = 'defect') then 'defect'
      when bool_or(verdict = 'judgment') then 'judgment'
      when bool_or(verdict = 'acceptable') then 'acceptable'
    end as by_rule
  from observations
  where call <> 'not_seen'
    and (report_id, deck_id, topic) in (select report_id, deck_id, topic from standing_looks)
  group by report_id, deck_id, topic
),
with_rule as (
  select trials.*, case when looked is null then verdict else by_rule end as rule_verdict
  from trials
  left join ruled using (report_id, deck_id, topic)
  where seen
    /* within.sql */
),
verified as (
  select
    *,
    case
      when looked in ('targeted', 'dispute') and rule_verdict in ('defect', 'acceptable') then rule_verdict
      when looked is null or looked = 'random' then nullif(nullif(verdict, 'cannot_tell'), 'judgment')
    end as truth,
    coalesce(
      looked = 'random'
      and verdict in ('defect', 'acceptable')
      and coalesce(rule_verdict, 'cannot_tell') not in ('defect', 'acceptable'),
      false
    ) as by_look
  from with_rule
  where rule_verdict is distinct from 'judgment'
)
