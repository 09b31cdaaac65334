-- One row or none: an observation in full, every column of the contract and what the rules say of it.
-- written_up_elsewhere: missed or understated here, and the same fault is written up at another place of the deck.
-- $observation_id: report_id and observation_no joined by a colon.
select
  observations.*,
  outcomes.deck_age_years,
  outcomes.deck_age,
  outcomes.deck_height,
  observations.outcome in ('missed', 'understated') and trials.upheld as written_up_elsewhere
from observations
join outcomes using (observation_id)
join trials
  on trials.report_id = observations.report_id
  and trials.deck_id = observations.deck_id
  and trials.topic = observations.topic
where observation_id = $observation_id
