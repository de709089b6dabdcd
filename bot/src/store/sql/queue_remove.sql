DELETE FROM queue WHERE case_id = $1
