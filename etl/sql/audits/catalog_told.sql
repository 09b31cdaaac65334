-- A snapshot whose own catalog is not the newest of those that it tells.
select catalog from snapshot_info
where catalog is distinct from (select max_by(catalog, load_id) from catalogs)
