-- The outcome is the one that call and verdict make (outcome_of: the vocabulary's table), a person's ruling included, but
-- for write-ups whose comment names another fault: they are undecided until somebody looks again.
select outcomes.observation_id
from outcomes
left join outcome_of on outcomes.call = outcome_of.call and outcomes.verdict = outcome_of.verdict
where outcomes.outcome not in ('not_seen', 'no_rule') and case when outcomes.second_look then 'undecided' else outcome_of.outcome end
  is distinct from outcomes.outcome
