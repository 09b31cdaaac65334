-- The outcome is the one that call and verdict make (outcome_of: the vocabulary's table).
select observations.observation_id
from observations
left join outcome_of on observations.call = outcome_of.call and observations.verdict = outcome_of.verdict
where observations.outcome not in ('not_seen', 'no_rule') and observations.outcome is distinct from outcome_of.outcome
