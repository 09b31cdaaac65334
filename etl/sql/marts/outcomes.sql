-- An observation with its outcome, and the groups that rates are counted in. Null: not recorded, or not judged.
create or replace view outcomes as
with aged as (
    -- A deck of the year after (built_after_inspection allows one) is new; greatest alone would make unknown years new too.
    select
        *,
        case when deck_built_year is not null then greatest(year(inspected_on) - deck_built_year, 0) end as deck_age_years
    from observations
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
    criterion_id, verdict, basis, outcome, reason, missing, recorded, measured, second_look,
    comment, recommendation, photo_count, code_basis
from aged
