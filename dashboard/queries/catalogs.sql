-- One row: a version of the catalog and when it first judged, the oldest first; one that came back stands twice.
-- The first is that of the earliest snapshot that tells one, and has judged since then at the latest. No parameters.
select catalog, first_used_at
from catalogs
order by load_id
