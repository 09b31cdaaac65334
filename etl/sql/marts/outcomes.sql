-- An observation with its outcome, and the groups that rates are counted in. Null: not recorded, or not judged.
-- A person's second look (standing_looks) stands above the rule: verdict, basis, outcome and reason are then the look's,
-- no criterion decided and no measure is missing, and what was due for a second look has had it. ruled: what the rule says.
-- counted_verdict, counted_outcome: what rates count. A look that was chosen for what it would show, or after a dispute,
-- says nothing of the calls that nobody chose: there the rule's own verdict counts, in rates and behind every number.
create or replace view outcomes as
with aged as (
    -- A deck of the year after (built_after_inspection allows one) is new; greatest alone would make unknown years new too.
    select
        *,
        case when deck_built_year is not null then greatest(year(inspected_on) - deck_built_year, 0) end as deck_age_years
    from observations
),
looks as (
    select observation_id, ruling, outcome as look_outcome, told, looked = 'random' as at_random from standing_looks
)
select
    observation_id, report_id, inspected_on, inspector_id, deck_id,
    coalesce(region, 'unknown') as region,
    coalesce(builder, 'unknown') as builder,
    deck_age_years,
    case
        when deck_age_years is null then 'unknown'
        when deck_age_years < 5 then 'under 5'
        when deck_age_years < 10 then '5 to 9'
        when deck_age_years < 15 then '10 to 14'
        when deck_age_years < 20 then '15 to 19'
        when deck_age_years < 30 then '20 to 29'
        else '30 and more'
    end as deck_age,
    case
        when deck_height_in is null then 'unknown'
        when deck_height_in <= 30 then '30 in or less'
        when deck_height_in <= 72 then '31 to 72 in'
        when deck_height_in <= 120 then '73 to 120 in'
        else 'over 120 in'
    end as deck_height,
    topic, place, call, not_seen_reason, consequence,
    case when ruling is null then criterion_id end as criterion_id,
    coalesce(ruling, verdict) as verdict,
    verdict as ruled,
    case when at_random then ruling else verdict end as counted_verdict,
    case when ruling is null then basis else 'second_look' end as basis,
    coalesce(look_outcome, outcome) as outcome,
    case when at_random then look_outcome else outcome end as counted_outcome,
    coalesce(told, reason) as reason,
    case when ruling is null then missing end as missing,
    recorded, measured,
    second_look and ruling is null as second_look,
    comment, read_from_comment, recommendation, photo_count, code_basis,
    coalesce(deck_built_basis = 'estimate', false) as age_estimated
from aged
left join looks using (observation_id)
