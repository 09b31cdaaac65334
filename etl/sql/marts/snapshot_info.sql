-- This snapshot, one row.
create or replace table snapshot_info as
select
    $snapshot::varchar as snapshot, $schema_version::integer as schema_version, $created_at::timestamp as created_at,
    $catalog::varchar as catalog, $code_basis::varchar as code_basis, $evenhand_version::varchar as evenhand_version
