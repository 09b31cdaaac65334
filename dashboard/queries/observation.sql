-- One row or none: an observation in full, every column of the contract and what is said of it: by the rules, or by a
-- person who looked again (basis second_look). looked_on and chosen are then of the look that stands, looked says how the
-- observation first came to one (rates count random ones), else null; ruled is what the rules say by themselves. written_up_elsewhere: missed or understated here, and the same fault is written up at
-- another place of the deck.
-- $observation_id: report_id and observation_no joined by a colon.
select
  observations.* replace (
    outcomes.criterion_id as criterion_id,
    outcomes.verdict as verdict,
    outcomes.basis as basis,
    outcomes.outcome as outcome,
    outcomes.reason as reason,
    outcomes.missing as missing,
    outcomes.second_look as second_look
  ),
  observations.verdict as ruled,
  standing_looks.looked_on,
  standing_looks.chosen,
  standing_looks.looked,
  outcomes.deck_age_years,
  outcomes.deck_age,
  outcomes.deck_height,
  outcomes.outcome in ('missed', 'understated') and trials.upheld as written_up_elsewhere
from observations
join outcomes using (observation_id)
left join standing_looks using (observation_id)
join trials
  on trials.report_id = observations.report_id
  and trials.deck_id = observations.deck_id
  and trials.topic = observations.topic
where observation_id = $observation_id
