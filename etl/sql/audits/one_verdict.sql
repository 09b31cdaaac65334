-- Every observation has a verdict and an outcome of the closed lists; a decided verdict names its criterion.
select observation_id from observations
where
    verdict is null or outcome is null
    or verdict not in ('defect', 'acceptable', 'judgment', 'cannot_tell')
    or (verdict <> 'cannot_tell' and (criterion_id is null or reason is null or basis is null))
    or (call = 'not_seen') <> (outcome = 'not_seen')
