UPDATE entries SET text = '' WHERE case_id = $1 AND kind <> 'change' AND text <> ''
