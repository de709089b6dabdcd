SELECT cases.number AS case_number, entries.at, entries.kind, entries.who, entries.message_id, entries.text
FROM cases JOIN entries ON entries.case_id = cases.id
WHERE cases.source = $1 AND cases.person_id = $2
ORDER BY entries.seq LIMIT $3
