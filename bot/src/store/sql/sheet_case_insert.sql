INSERT INTO sheet_cases (sheet_id, case_id, place, made_at)
VALUES ($1, $2, $3, $4)
ON CONFLICT (sheet_id, case_id) DO NOTHING
