-- A deck of a report with its facts: what its rows agree on (as report_facts).
create or replace temp table deck_facts as
with facts as (
    select
        report_id, deck_id,
        min(deck_built_year) as deck_built_year, max(deck_built_year) as deck_built_year_too,
        min(deck_built_basis) as deck_built_basis, max(deck_built_basis) as deck_built_basis_too,
        min(builder) as builder, max(builder) as builder_too,
        min(deck_height_in) as deck_height_in, max(deck_height_in) as deck_height_in_too,
        min(ledger_attached) as ledger_attached, max(ledger_attached) as ledger_attached_too,
        count(deck_built_year) not in (0, count(*)) or count(deck_built_basis) not in (0, count(*))
        or count(builder) not in (0, count(*)) or count(deck_height_in) not in (0, count(*))
        or count(ledger_attached) not in (0, count(*)) as partial
    from staged
    group by report_id, deck_id
)
select
    report_id, deck_id, deck_built_year, deck_built_basis, builder, deck_height_in, ledger_attached, partial,
    list_filter([
        case when deck_built_year <> deck_built_year_too then 'deck_built_year is ' || deck_built_year || ' and ' || deck_built_year_too end,
        case when deck_built_basis <> deck_built_basis_too then 'deck_built_basis is ' || deck_built_basis || ' and ' || deck_built_basis_too end,
        case when builder <> builder_too then 'builder is ''' || builder || ''' and ''' || builder_too || '''' end,
        case when deck_height_in <> deck_height_in_too then 'deck_height_in is ' || deck_height_in::double || ' and ' || deck_height_in_too::double end,
        case when ledger_attached <> ledger_attached_too then 'ledger_attached is true and false' end
    ], lambda sentence: sentence is not null) as disagrees
from facts
