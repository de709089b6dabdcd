SELECT cases.number AS case_number, case_files.message_id, case_files.at, case_files.name,
    case_files.media_type, case_files.size, case_files.sha256, case_files.width, case_files.height,
    case_files.content, case_files.url
FROM case_files JOIN cases ON cases.id = case_files.case_id
WHERE case_files.source = $1 AND case_files.person_id = $2
ORDER BY case_files.seq LIMIT $3
