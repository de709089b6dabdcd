SELECT cases.number AS case_number, queue.urgency, queue.reasons, queue.since, queue.promised, queue.minutes,
    queue.taken_person, queue.taken_until
FROM cases JOIN queue ON queue.case_id = cases.id
WHERE cases.source = $1 AND cases.person_id = $2 LIMIT $3
