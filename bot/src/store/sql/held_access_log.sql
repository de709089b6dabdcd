SELECT cases.number AS case_number, access_log.at, access_log.person_id AS coach, access_log.what, access_log.outcome
FROM cases JOIN access_log ON access_log.case_id = cases.id
WHERE cases.source = $1 AND cases.person_id = $2
ORDER BY access_log.seq LIMIT $3
