-- What only some tests have: the grade seen by eye, the least grade a photograph
-- leaves open, and the earlier test that is repeated. They were kept among the
-- unknown columns before; what stands there and can be read moves over.

ALTER TABLE test ADD COLUMN grade TEXT;
ALTER TABLE test ADD COLUMN grade_low TEXT;
ALTER TABLE test ADD COLUMN retests TEXT;

UPDATE test SET grade = json_extract(extra, '$.grade'), extra = json_remove(extra, '$.grade')
	WHERE json_extract(extra, '$.grade') IN ('1','1-2','2','2-3','3','3-4','4','4-5','5');
UPDATE test SET grade_low = json_extract(extra, '$.grade_low'), extra = json_remove(extra, '$.grade_low')
	WHERE json_extract(extra, '$.grade_low') IN ('1','1-2','2','2-3','3','3-4','4','4-5','5');
UPDATE test SET retests = json_extract(extra, '$.retests'), extra = json_remove(extra, '$.retests')
	WHERE json_extract(extra, '$.retests') <> '';
UPDATE test SET extra = NULL WHERE extra = '{}';
