-- One row or none: an observation in full, every column of the contract and what the rules say of it.
-- $observation_id: report_id and observation_no joined by a colon.
select observations.*, outcomes.deck_age_years, outcomes.deck_age, outcomes.deck_height
from observations
join outcomes using (observation_id)
where observation_id = $observation_id
