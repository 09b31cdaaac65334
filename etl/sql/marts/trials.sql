-- A trial: report x deck x topic. The unit of every rate, interval and test; places of one deck are one trial.
-- call: the strongest of its rows. verdict: defect if any seen row is, else judgment, else acceptable, else cannot_tell;
-- null where nothing was seen, or where the topic has no rule and no random look decided. missed and understated are not
-- counted where another row of the trial is upheld: the same fault is then written up elsewhere in the report. All of it
-- is as rates count (counted_verdict of outcomes.sql): a second look enters only if it was drawn at random. ruled: the
-- verdict that the rules alone give; null where they decide nothing. revisited: the deck stands in several reports, so
-- that its trials of one topic are several. age_estimated: the year of building is an estimate. looked: how the trial
-- came to a second look, the first of random, targeted, dispute among its rows; null where there was none.
create or replace table trials as
with rows_of_trial as (
    select
        report_id, deck_id, topic,
        any_value(inspected_on) as inspected_on,
        any_value(inspector_id) as inspector_id,
        any_value(region) as region,
        any_value(builder) as builder,
        any_value(deck_age_years) as deck_age_years,
        any_value(deck_age) as deck_age,
        any_value(age_estimated) as age_estimated,
        any_value(deck_height) as deck_height,
        bool_or(call <> 'not_seen') as seen,
        min(case call when 'written_up' then 1 when 'referred' then 2 when 'advised' then 3 when 'passed' then 4 else 5 end) as strongest,
        bool_or(call <> 'not_seen' and counted_verdict = 'defect') as defect,
        bool_or(call <> 'not_seen' and counted_verdict = 'judgment') as judgment,
        bool_or(call <> 'not_seen' and counted_verdict = 'acceptable') as acceptable,
        min(case when call <> 'not_seen' then list_position(['defect', 'judgment', 'acceptable'], ruled) end) as ruled,
        bool_or(counted_outcome = 'no_rule') as no_rule,
        bool_or(counted_outcome = 'upheld') as upheld,
        bool_or(counted_outcome = 'overcalled') as overcalled,
        bool_or(counted_outcome = 'missed') as missed,
        bool_or(counted_outcome = 'understated') as understated,
        count(*)::integer as rows
    from outcomes
    group by report_id, deck_id, topic
),
decks as (
    select deck_id, min(report_id) <> max(report_id) as revisited from rows_of_trial group by deck_id
),
looked_at as (
    select
        report_id, deck_id, topic,
        arg_min(looked, list_position(['random', 'targeted', 'dispute'], looked)) as looked
    from standing_looks
    group by report_id, deck_id, topic
)
select
    report_id, deck_id, topic, inspected_on, inspector_id, region, builder, deck_age, deck_height, seen,
    ['written_up', 'referred', 'advised', 'passed', 'not_seen'][strongest] as call,
    case
        when not seen then null
        when defect then 'defect'
        when judgment then 'judgment'
        when acceptable then 'acceptable'
        when no_rule then null
        else 'cannot_tell'
    end as verdict,
    defect or acceptable as judged,
    defect,
    upheld,
    overcalled,
    missed and not upheld as missed,
    understated and not upheld as understated,
    rows,
    revisited,
    deck_age_years,
    age_estimated,
    looked,
    ['defect', 'judgment', 'acceptable'][ruled] as ruled
from rows_of_trial
join decks using (deck_id)
left join looked_at using (report_id, deck_id, topic)
-- The rows of a report have region, day and inspector in common: together they are read in two thirds of the time.
order by report_id
