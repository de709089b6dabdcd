SELECT
    access_log.at, access_log.source, access_log.person_id, access_log.what, access_log.case_id,
    access_log.action_id, access_log.outcome, cases.number
FROM access_log
LEFT JOIN cases ON cases.id = access_log.case_id
WHERE access_log.source = $1 AND access_log.action_id = $2
