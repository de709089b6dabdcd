SELECT case_id, urgency, reasons, since, promised, minutes, taken_source, taken_person, taken_until
FROM queue
WHERE case_id = $1
