-- The outcome is the one that call and verdict make (outcome_of: the vocabulary's table), but for write-ups whose comment
-- names another fault: they are undecided.
select observations.observation_id
from observations
left join outcome_of on observations.call = outcome_of.call and observations.verdict = outcome_of.verdict
where observations.outcome not in ('not_seen', 'no_rule') and case when observations.second_look then 'undecided' else outcome_of.outcome end
  is distinct from observations.outcome
