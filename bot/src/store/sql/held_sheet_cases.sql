SELECT cases.number AS case_number, sheet_cases.place, sheet_cases.made_at
FROM cases JOIN sheet_cases ON sheet_cases.case_id = cases.id
WHERE cases.source = $1 AND cases.person_id = $2
ORDER BY sheet_cases.made_at LIMIT $3
