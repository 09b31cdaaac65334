-- The catalog of a snapshot that tells no catalogs yet: it has judged since that snapshot at the latest.
insert into catalogs
select catalog, code_basis, snapshot, created_at
from snapshot_info
where not exists (select 1 from catalogs);
