SELECT cases.number AS case_number, follow_ups.kind, follow_ups.due_at, follow_ups.sent, follow_ups.state,
    follow_ups.created_at, follow_ups.finished_at
FROM cases JOIN follow_ups ON follow_ups.case_id = cases.id
WHERE cases.source = $1 AND cases.person_id = $2 ORDER BY follow_ups.due_at LIMIT $3
