-- Rows that do not agree on their deck's facts within one report (as refuse_report_disagreements).
insert into rejected by name
with kept as (
    select distinct report_id, deck_id, deck_built_year, deck_built_basis, builder, deck_height_in, ledger_attached
    from staged where raw_id is null
)
select
    staged.raw_id, staged.file_no, staged.report_id, staged.observation_no,
    ['report_disagrees: in report ' || staged.report_id || ', deck ' || staged.deck_id || ', '
        || array_to_string(deck_facts.disagrees, ' and ') || '; correct the wrong rows, or give each deck its own deck_id'] as reasons
from staged
inner join deck_facts
    on staged.report_id = deck_facts.report_id and staged.deck_id = deck_facts.deck_id and len(deck_facts.disagrees) > 0
left join kept on staged.report_id = kept.report_id and staged.deck_id = kept.deck_id
where
    staged.raw_id is not null
    and (
        kept.report_id is null
        or staged.deck_built_year <> kept.deck_built_year
        or staged.deck_built_basis <> kept.deck_built_basis
        or staged.builder <> kept.builder
        or staged.deck_height_in <> kept.deck_height_in
        or staged.ledger_attached <> kept.ledger_attached
    )
