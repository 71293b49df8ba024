-- A workroom file as the first schema wrote it: the demo's job with a choice, an approval, a step, a test, recipes, a
-- batch and a use recorded by command. Its pictures are left out. TestUpgradeFromTheFirstSchema brings it up to date.
BEGIN TRANSACTION;
CREATE TABLE area (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	code TEXT NOT NULL, piece TEXT, method TEXT, look TEXT, target TEXT, tolerance REAL,
	cloth_m2 REAL, painted_m2 REAL, ground TEXT, stretch_pct REAL, skin INTEGER, sides INTEGER,
	coat_min REAL, rail_m REAL, share_pct REAL, recipe TEXT, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, code)
) STRICT;
INSERT INTO "area" VALUES(1,1,'A1','Coat body','cloth','Fog-Bell Keeper','#6C7176',3.0,2.6,NULL,NULL,0.0,0,NULL,NULL,NULL,NULL,NULL,'slate grey, matt; cut cloth, unpainted; meets A2 along 2.1 m of seam; often read as black',NULL);
INSERT INTO "area" VALUES(1,2,'A2','Storm collar and front placket','cloth','Fog-Bell Keeper','#F3F1EC',3.0,0.35,NULL,'C4',0.0,1,NULL,NULL,NULL,NULL,NULL,'soft white, matt; cut cloth, unpainted; sewn hard against A1; neck skin',NULL);
INSERT INTO "area" VALUES(1,3,'A3','Hood-cape','cloth','Fog-Bell Keeper','#1F2638',3.0,1.1,NULL,'C5',0.0,0,NULL,NULL,NULL,NULL,NULL,'ink blue, pile; cut cloth, unpainted; rubs A4 shoulders and A2 collar for 6 h, warm; 12 studs on the hood band',NULL);
INSERT INTO "area" VALUES(1,4,'A4','Under-tunic, wave band','paint','Fog-Bell Keeper','#2C7C82',3.0,1.3,0.18,'C6',40.0,1,1,40.0,0.6,NULL,NULL,'deep teal on cream; 40 % stretch at the ribs; skin side',NULL);
INSERT INTO "area" VALUES(1,5,'A5','Bell sash, both faces','paint','Fog-Bell Keeper','#FF5B52',NULL,0.24,0.42,'C7',0.0,0,2,45.0,0.3,NULL,NULL,'fluorescent coral; 0.21 m2 each face; seen at 15 m in mist; the hex is only a stand-in: judged by swatch',NULL);
INSERT INTO "area" VALUES(1,6,'A6','Gauntlet cuffs, line work','paint','Fog-Bell Keeper','#BDB8AE',5.0,0.16,0.05,'C8',NULL,0,1,30.0,0.0,NULL,NULL,'pale stone on black; touches A4 sleeve ends; 18 studs',NULL);
INSERT INTO "area" VALUES(1,7,'A7','Bell yoke','paint','Fog-Bell Keeper','#6E5134',5.0,0.3,0.3,'C9',NULL,0,1,30.0,0.0,40.0,'S1:3;B1:2;V1:1;S2:1','bronze, then verdigris glaze #5E9C8B over about 40 %; flexes at 2 hinges; 18 studs',NULL);
INSERT INTO "area" VALUES(1,8,'A8','Boot gaiters','paint','Fog-Bell Keeper','#4E2A28',5.0,0.24,0.24,'C10',NULL,0,1,30.0,0.0,NULL,NULL,'oxblood, satin; bends at the ankle',NULL);
INSERT INTO "area" VALUES(1,9,'A9','Forelock in the wig','dye','Fog-Bell Keeper','#2C7C82',3.0,NULL,NULL,'H3',NULL,0,NULL,20.0,0.0,NULL,'D2:1','deep teal, as A4; ink on 12 g of pale fibre, 6 ml of ink for each forelock; must agree with A4 within tolerance',NULL);
CREATE TABLE batch (
	number INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	recipe INTEGER NOT NULL REFERENCES recipe (number),
	at TEXT NOT NULL,
	made_g REAL NOT NULL CHECK (made_g > 0),
	place TEXT, note TEXT
) STRICT;
INSERT INTO "batch" VALUES(1,2,'2026-11-25T11:41:19Z',60.0,NULL,NULL);
CREATE TABLE batch_use (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	batch INTEGER NOT NULL REFERENCES batch (number),
	at TEXT NOT NULL,
	used_g REAL NOT NULL CHECK (used_g > 0),
	job TEXT, step TEXT, note TEXT
) STRICT;
CREATE TABLE choice (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	origin TEXT NOT NULL CHECK (origin IN ('table','command')),
	area TEXT NOT NULL, recipe TEXT NOT NULL, at TEXT, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, seq)
) STRICT;
INSERT INTO "choice" VALUES(1,1,'command','A4','T3:2','2026-11-25T11:39:39Z',NULL,NULL);
CREATE TABLE contact (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	code TEXT NOT NULL, "from" TEXT, "to" TEXT, rubbing TEXT, damp INTEGER, hours REAL, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, code)
) STRICT;
INSERT INTO "contact" VALUES(1,1,'N1','A3','A4','high',1,6.0,'velveteen on the cream knit of the shoulders; dark over light',NULL);
INSERT INTO "contact" VALUES(1,2,'N2','A3','A2','medium',1,6.0,'velveteen on the white collar; dark on white',NULL);
INSERT INTO "contact" VALUES(1,3,'N3','A1','A2','low',1,7.0,'seam; rain possible; grey beside white',NULL);
INSERT INTO "contact" VALUES(1,4,'N4','A6','A4','medium',1,6.0,'vinyl on the cream sleeve ends; warm; plasticiser, dye',NULL);
INSERT INTO "contact" VALUES(1,5,'N5','A4','skin','medium',1,6.0,'painted band next to skin',NULL);
INSERT INTO "contact" VALUES(1,6,'N6','A5','A1','medium',1,6.0,'sash on the grey front; rain possible; fluorescent rub-off',NULL);
INSERT INTO "contact" VALUES(1,7,'N7','A6','skin','medium',1,6.0,'stud backs on the wrist; nickel',NULL);
INSERT INTO "contact" VALUES(1,8,'N8','A3','skin','low',1,6.0,'stud backs of the hood band on the forehead; nickel',NULL);
INSERT INTO "contact" VALUES(1,9,'N9','A6','A2','none',1,22.0,'packed from Friday night; warm',NULL);
INSERT INTO "contact" VALUES(1,10,'N9b','A6','A4','none',1,22.0,'packed from Friday night; warm',NULL);
CREATE TABLE done (
	id INTEGER NOT NULL PRIMARY KEY,
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	origin TEXT NOT NULL CHECK (origin IN ('table','command')),
	step TEXT NOT NULL, at TEXT, used TEXT, code TEXT,
	extra TEXT,
	withdrawn TEXT
) STRICT;
INSERT INTO "done" VALUES(1,1,1,'command','A9-D2-1','2026-11-25T11:39:55Z','3 ml','D2',NULL,NULL);
CREATE TABLE hours (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	day TEXT, "from" TEXT, "to" TEXT, who TEXT, what TEXT, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, seq)
) STRICT;
INSERT INTO "hours" VALUES(1,1,'Mon','19:00','21:30',NULL,'any',NULL,NULL);
INSERT INTO "hours" VALUES(1,2,'Tue','19:00','21:30',NULL,'any',NULL,NULL);
INSERT INTO "hours" VALUES(1,3,'Thu','19:00','21:30',NULL,'any',NULL,NULL);
INSERT INTO "hours" VALUES(1,4,'Fri','19:00','21:30',NULL,'any',NULL,NULL);
INSERT INTO "hours" VALUES(1,5,'Sat','10:00','17:00',NULL,'any',NULL,NULL);
INSERT INTO "hours" VALUES(1,6,'Sun','13:00','17:00',NULL,'any',NULL,NULL);
INSERT INTO "hours" VALUES(1,7,'Sun','14:00','16:00','helper','sewing',NULL,NULL);
INSERT INTO "hours" VALUES(1,8,'2026-10-31','10:00','16:00',NULL,'spraying outdoors','yard; 13 °C, dry',NULL);
CREATE TABLE job (
	id INTEGER NOT NULL PRIMARY KEY,
	version INTEGER NOT NULL,
	name TEXT NOT NULL UNIQUE CHECK (name <> ''),
	planning_starts TEXT, hands_off TEXT, event_at TEXT, packing_at TEXT, supplies_ordered TEXT, supplies_arrive TEXT,
	budget INTEGER, currency TEXT, reserve_pct REAL, repair_ml REAL, timezone TEXT, as_of TEXT,
	extra TEXT
) STRICT;
INSERT INTO "job" VALUES(1,5,'Low Water Night','2026-10-26T09:00:00Z','2026-11-11T21:00:00Z','2026-11-14T15:00:00Z','2026-11-13T20:00:00Z','2026-10-26T12:00:00Z','2026-10-30T12:00:00Z',13000,'GBP',15.0,20.0,'Europe/London','2026-10-26T09:00:00Z',NULL);
CREATE TABLE job_stock (
	job INTEGER NOT NULL REFERENCES job (id),
	seq INTEGER NOT NULL,
	code TEXT NOT NULL REFERENCES stock (code) ON UPDATE CASCADE,
	PRIMARY KEY (job, code)
) STRICT, WITHOUT ROWID;
INSERT INTO "job_stock" VALUES(1,10,'B1');
INSERT INTO "job_stock" VALUES(1,11,'B2');
INSERT INTO "job_stock" VALUES(1,21,'C1');
INSERT INTO "job_stock" VALUES(1,30,'C10');
INSERT INTO "job_stock" VALUES(1,31,'C11');
INSERT INTO "job_stock" VALUES(1,22,'C2');
INSERT INTO "job_stock" VALUES(1,23,'C3');
INSERT INTO "job_stock" VALUES(1,24,'C4');
INSERT INTO "job_stock" VALUES(1,25,'C5');
INSERT INTO "job_stock" VALUES(1,26,'C6');
INSERT INTO "job_stock" VALUES(1,27,'C7');
INSERT INTO "job_stock" VALUES(1,28,'C8');
INSERT INTO "job_stock" VALUES(1,29,'C9');
INSERT INTO "job_stock" VALUES(1,19,'D1');
INSERT INTO "job_stock" VALUES(1,20,'D2');
INSERT INTO "job_stock" VALUES(1,4,'F1');
INSERT INTO "job_stock" VALUES(1,7,'G1');
INSERT INTO "job_stock" VALUES(1,8,'G2');
INSERT INTO "job_stock" VALUES(1,32,'H1');
INSERT INTO "job_stock" VALUES(1,33,'H2');
INSERT INTO "job_stock" VALUES(1,34,'H3');
INSERT INTO "job_stock" VALUES(1,9,'K1');
INSERT INTO "job_stock" VALUES(1,13,'O1');
INSERT INTO "job_stock" VALUES(1,14,'S1');
INSERT INTO "job_stock" VALUES(1,15,'S2');
INSERT INTO "job_stock" VALUES(1,16,'S3');
INSERT INTO "job_stock" VALUES(1,5,'T1');
INSERT INTO "job_stock" VALUES(1,6,'T3');
INSERT INTO "job_stock" VALUES(1,12,'V1');
INSERT INTO "job_stock" VALUES(1,1,'W1');
INSERT INTO "job_stock" VALUES(1,2,'W2');
INSERT INTO "job_stock" VALUES(1,3,'W3');
INSERT INTO "job_stock" VALUES(1,17,'X1');
INSERT INTO "job_stock" VALUES(1,18,'Z1');
CREATE TABLE light (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	name TEXT NOT NULL, source TEXT, lux REAL, uv INTEGER, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, name)
) STRICT;
INSERT INTO "light" VALUES(1,1,'daylight','D65',2000.0,1,'window of the workroom; swatches are approved here',NULL);
INSERT INTO "light" VALUES(1,2,'foyer','LED-B3',300.0,0,'neutral LED, about 4000 K; seen from 1.5 m',NULL);
INSERT INTO "light" VALUES(1,3,'lit path','2900 K',40.0,0,'warm LED; seen from 8 to 15 m',NULL);
INSERT INTO "light" VALUES(1,4,'UV bars',NULL,5.0,1,'10 minutes: look at what glows, judge no match by it',NULL);
INSERT INTO "light" VALUES(1,5,'press flash','5500 K',NULL,1,NULL,NULL);
CREATE TABLE measure (
	id INTEGER NOT NULL PRIMARY KEY,
	job INTEGER REFERENCES job (id),
	origin TEXT NOT NULL CHECK (origin IN ('table','command')),
	code TEXT NOT NULL, light TEXT,
	lab_l REAL, lab_a REAL, lab_b REAL,
	over TEXT, wet_film_um REAL, coats INTEGER, kind TEXT, basis TEXT,
	spectrum BLOB CHECK (length(spectrum) = 288),
	extra TEXT
) STRICT;
INSERT INTO "measure" VALUES(1,1,'table','A1','D65',47.4,-0.8,-3.4,'itself',NULL,NULL,'swatch',NULL,NULL,NULL);
INSERT INTO "measure" VALUES(2,1,'table','A1','2900 K',47.6,0.4,-1.9,'itself',NULL,NULL,'swatch',NULL,NULL,NULL);
INSERT INTO "measure" VALUES(3,NULL,'table','C1','D65',48.2,-0.9,-2.2,'itself',NULL,NULL,'swatch',NULL,NULL,NULL);
INSERT INTO "measure" VALUES(4,NULL,'table','C1','2900 K',48.5,0.5,-0.9,'itself',NULL,NULL,'swatch',NULL,NULL,NULL);
INSERT INTO "measure" VALUES(5,NULL,'table','C2','D65',47.7,-1.0,-2.9,'itself',NULL,NULL,'swatch',NULL,NULL,NULL);
INSERT INTO "measure" VALUES(6,NULL,'table','C2','2900 K',47.9,3.6,4.3,'itself',NULL,NULL,'swatch',NULL,NULL,NULL);
INSERT INTO "measure" VALUES(7,NULL,'table','C3','D65',27.9,-0.1,-3.5,'itself',NULL,NULL,'swatch',NULL,NULL,NULL);
INSERT INTO "measure" VALUES(8,NULL,'table','C3','2900 K',28.0,0.6,-2.3,'itself',NULL,NULL,'swatch',NULL,NULL,NULL);
INSERT INTO "measure" VALUES(9,NULL,'table','T3','D65',47.0,-21.3,-10.9,'itself',NULL,NULL,'swatch',NULL,NULL,NULL);
INSERT INTO "measure" VALUES(10,NULL,'table','T1','D65',42.8,-20.2,-11.9,'itself',NULL,NULL,'swatch',NULL,NULL,NULL);
INSERT INTO "measure" VALUES(11,NULL,'table','G2','D65',75.3,0.0,5.7,'itself',NULL,NULL,'swatch',NULL,NULL,NULL);
INSERT INTO "measure" VALUES(12,NULL,'table','O1','D65',22.4,17.3,9.0,'itself',NULL,NULL,'swatch',NULL,NULL,NULL);
INSERT INTO "measure" VALUES(13,NULL,'table','B1','D65',35.5,8.1,20.5,'itself',NULL,NULL,'swatch',NULL,NULL,NULL);
INSERT INTO "measure" VALUES(14,NULL,'table','D2','D65',48.0,-22.1,-11.1,'H3',NULL,1,'strike-off',NULL,NULL,NULL);
CREATE TABLE movement (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	code TEXT NOT NULL REFERENCES stock (code) ON UPDATE CASCADE,
	at TEXT NOT NULL,
	what TEXT NOT NULL CHECK (what IN ('bought','used','reserved','released','thrown away','counted')),
	amount REAL NOT NULL DEFAULT 0,
	held REAL NOT NULL DEFAULT 0,
	job INTEGER REFERENCES job (id),
	step TEXT,
	note TEXT
) STRICT;
INSERT INTO "movement" VALUES(1,'W1','2026-11-25T11:39:37Z','counted',120.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(2,'W2','2026-11-25T11:39:37Z','counted',60.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(3,'W3','2026-11-25T11:39:37Z','counted',0.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(4,'F1','2026-11-25T11:39:37Z','counted',75.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(5,'T1','2026-11-25T11:39:37Z','counted',90.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(6,'T3','2026-11-25T11:39:37Z','counted',45.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(7,'G1','2026-11-25T11:39:37Z','counted',200.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(8,'G2','2026-11-25T11:39:37Z','counted',30.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(9,'K1','2026-11-25T11:39:37Z','counted',150.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(10,'B1','2026-11-25T11:39:37Z','counted',250.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(11,'B2','2026-11-25T11:39:37Z','counted',25.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(12,'V1','2026-11-25T11:39:37Z','counted',80.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(13,'O1','2026-11-25T11:39:37Z','counted',60.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(14,'S1','2026-11-25T11:39:37Z','counted',400.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(15,'S2','2026-11-25T11:39:37Z','counted',120.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(16,'S3','2026-11-25T11:39:37Z','counted',1.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(17,'X1','2026-11-25T11:39:37Z','counted',15.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(18,'Z1','2026-11-25T11:39:37Z','counted',0.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(19,'D1','2026-11-25T11:39:37Z','counted',40.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(20,'D2','2026-11-25T11:39:37Z','counted',20.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(21,'C1','2026-11-25T11:39:37Z','counted',7.4,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(22,'C2','2026-11-25T11:39:37Z','counted',9.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(23,'C3','2026-11-25T11:39:37Z','counted',4.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(24,'C4','2026-11-25T11:39:37Z','counted',2.5,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(25,'C5','2026-11-25T11:39:37Z','counted',5.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(26,'C6','2026-11-25T11:39:37Z','counted',5.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(27,'C7','2026-11-25T11:39:37Z','counted',2.2,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(28,'C8','2026-11-25T11:39:37Z','counted',1.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(29,'C9','2026-11-25T11:39:37Z','counted',1.2,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(30,'C10','2026-11-25T11:39:37Z','counted',0.9,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(31,'C11','2026-11-25T11:39:37Z','counted',3.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(32,'H1','2026-11-25T11:39:37Z','counted',60.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(33,'H2','2026-11-25T11:39:37Z','counted',0.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(34,'H3','2026-11-25T11:39:37Z','counted',40.0,0.0,NULL,NULL,NULL);
INSERT INTO "movement" VALUES(35,'D2','2026-11-25T11:39:55Z','used',-3.0,0.0,1,'A9-D2-1',NULL);
INSERT INTO "movement" VALUES(36,'F1','2026-11-25T11:40:25Z','used',-5.0,0.0,NULL,NULL,'spilt');
CREATE TABLE patch (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	reference TEXT, area TEXT, rectangle TEXT, colour TEXT,
	extra TEXT,
	PRIMARY KEY (job, seq)
) STRICT;
INSERT INTO "patch" VALUES(1,1,'R1','A1','445,1015,30,55',NULL,NULL);
INSERT INTO "patch" VALUES(1,2,'R1','A2','538,421,45,38',NULL,NULL);
INSERT INTO "patch" VALUES(1,3,'R1','A3','425,612,23,46',NULL,NULL);
INSERT INTO "patch" VALUES(1,4,'R1','A4','599,876,45,44',NULL,NULL);
INSERT INTO "patch" VALUES(1,5,'R1','A5','557,654,21,21',NULL,NULL);
INSERT INTO "patch" VALUES(1,6,'R1','A6','298,829,17,16',NULL,NULL);
INSERT INTO "patch" VALUES(1,7,'R1','A7','544,543,29,22',NULL,NULL);
INSERT INTO "patch" VALUES(1,8,'R1','A8','503,1363,37,57',NULL,NULL);
INSERT INTO "patch" VALUES(1,9,'R1','A9','672,420,18,32',NULL,NULL);
INSERT INTO "patch" VALUES(1,10,'R2','A1','686,977,29,56',NULL,NULL);
INSERT INTO "patch" VALUES(1,11,'R2','A2','577,380,45,38',NULL,NULL);
INSERT INTO "patch" VALUES(1,12,'R2','A3','712,573,24,45',NULL,NULL);
INSERT INTO "patch" VALUES(1,13,'R2','A4','515,838,46,43',NULL,NULL);
INSERT INTO "patch" VALUES(1,14,'R2','A5','582,614,22,22',NULL,NULL);
INSERT INTO "patch" VALUES(1,15,'R2','A6','249,796,18,16',NULL,NULL);
INSERT INTO "patch" VALUES(1,16,'R2','A7','587,503,29,22',NULL,NULL);
INSERT INTO "patch" VALUES(1,17,'R2','A8','620,1327,38,57',NULL,NULL);
INSERT INTO "patch" VALUES(1,18,'R3','A1','311,1133,30,55',NULL,NULL);
INSERT INTO "patch" VALUES(1,19,'R3','A2','404,539,45,38',NULL,NULL);
INSERT INTO "patch" VALUES(1,20,'R3','A3','291,730,23,46',NULL,NULL);
INSERT INTO "patch" VALUES(1,21,'R3','A4','465,994,45,44',NULL,NULL);
INSERT INTO "patch" VALUES(1,22,'R3','A5','423,772,21,21',NULL,NULL);
INSERT INTO "patch" VALUES(1,23,'R3','A6','166,940,17,16',NULL,NULL);
INSERT INTO "patch" VALUES(1,24,'R3','A7','410,661,29,22',NULL,NULL);
INSERT INTO "patch" VALUES(1,25,'R3','A8','369,1481,37,57',NULL,NULL);
INSERT INTO "patch" VALUES(1,26,'R3','A9','538,538,18,32',NULL,NULL);
INSERT INTO "patch" VALUES(1,27,'R4','A1','699,949,62,57',NULL,NULL);
INSERT INTO "patch" VALUES(1,28,'R4','A2','514,617,66,50',NULL,NULL);
INSERT INTO "patch" VALUES(1,29,'R4','A3','340,901,33,66',NULL,NULL);
INSERT INTO "patch" VALUES(1,30,'R4','A5','542,963,31,30',NULL,NULL);
INSERT INTO "patch" VALUES(1,31,'R4','A7','523,797,43,29',NULL,NULL);
INSERT INTO "patch" VALUES(1,32,'R4','A9','721,611,24,43',NULL,NULL);
CREATE TABLE picture (
	job INTEGER NOT NULL REFERENCES job (id),
	name TEXT NOT NULL,
	paper INTEGER NOT NULL CHECK (paper IN (0, 1)),
	bytes BLOB NOT NULL,
	PRIMARY KEY (job, name)
) STRICT;
INSERT INTO "picture" VALUES(1,'R1.jpg',0,X'7374616E647320666F7220612070696374757265');
INSERT INTO "picture" VALUES(1,'R2.jpg',0,X'7374616E647320666F7220612070696374757265');
INSERT INTO "picture" VALUES(1,'R3.png',0,X'7374616E647320666F7220612070696374757265');
INSERT INTO "picture" VALUES(1,'R4.jpg',0,X'7374616E647320666F7220612070696374757265');
CREATE TABLE recipe (
	number INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	parent INTEGER REFERENCES recipe (number),
	name TEXT NOT NULL CHECK (name <> ''),
	at TEXT NOT NULL,
	target TEXT, ground TEXT, parts TEXT, layers TEXT, job TEXT, area TEXT, note TEXT,
	CHECK (parts IS NOT NULL OR layers IS NOT NULL)
) STRICT;
INSERT INTO "recipe" VALUES(1,NULL,'Band teal','2026-11-25T11:40:56Z',NULL,'C6',NULL,'T3:2',NULL,NULL,NULL);
INSERT INTO "recipe" VALUES(2,NULL,'Tunic teal','2026-11-25T11:40:56Z',NULL,NULL,'T3:5;W2:1',NULL,NULL,NULL,NULL);
CREATE TABLE reference (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	code TEXT NOT NULL, picture TEXT, anchor TEXT, anchor_colour TEXT, trust TEXT, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, code)
) STRICT;
INSERT INTO "reference" VALUES(1,1,'R1','R1.jpg','538,421,45,38','#F3F1EC','medium','dusk still, blue and dim; A1 looks navy-black; anchor: the collar',NULL);
INSERT INTO "reference" VALUES(1,2,'R2','R2.jpg','577,380,45,38','#F3F1EC','medium','lantern still, orange; A1 looks brown and A3 plain black; anchor: the collar',NULL);
INSERT INTO "reference" VALUES(1,3,'R3','R3.png','60,520,60,120','#FDFDFB','high for hue, low for lightness','flat drawing with a profile tag; ink lines darken small areas, A3 is drawn as black; anchor: the paper',NULL);
INSERT INTO "reference" VALUES(1,4,'R4','R4.jpg',NULL,NULL,'low','phone photograph of a poster, strongly compressed; nothing neutral in it; navy lies beside A5',NULL);
CREATE TABLE room (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	volume_m3 REAL, day_c REAL, night_c REAL, rh_pct REAL, air_m_s REAL, fan_m3_h REAL, changes_per_hour REAL,
	rail_m REAL, rack_m2 REAL, drying_factor REAL, drying_factor_fan REAL, press INTEGER, iron_max_c REAL, mask TEXT,
	extra TEXT,
	PRIMARY KEY (job)
) STRICT;
INSERT INTO "room" VALUES(1,1,26.0,18.0,15.0,70.0,NULL,300.0,NULL,2.5,1.0,1.6,1.2,0,200.0,'particle',NULL);
CREATE TABLE setting (
	name  TEXT NOT NULL PRIMARY KEY,
	value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE sewing (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	code TEXT NOT NULL, area TEXT, verb TEXT, hands_min REAL, after TEXT, before TEXT, who TEXT,
	extra TEXT,
	PRIMARY KEY (job, code)
) STRICT;
INSERT INTO "sewing" VALUES(1,1,'A1-cut','A1','cut',75.0,NULL,NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,2,'A1-sew-1','A1','sew',120.0,'A1-cut',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,3,'A1-sew-2','A1','sew',120.0,'A1-sew-1;A2-sew',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,4,'A1-hem','A1','hem',45.0,'A1-sew-2',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,5,'A2-prewash','A2','prewash',15.0,NULL,NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,6,'A2-cut','A2','cut',30.0,'A2-prewash',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,7,'A2-line','A2','line',30.0,'A2-cut',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,8,'A2-sew','A2','sew',90.0,'A2-line;A1-sew-1',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,9,'A3-prewash','A3','prewash',30.0,NULL,NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,10,'A3-cut','A3','cut',45.0,'A3-prewash',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,11,'A3-sew','A3','sew',90.0,'A3-cut',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,12,'A3-line','A3','line',60.0,'A3-sew',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,13,'A3-stud','A3','stud',40.0,'A3-line',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,14,'A4-prewash','A4','prewash',15.0,NULL,NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,15,'A4-cut','A4','cut',30.0,'A4-prewash',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,16,'A4-sew','A4','sew',120.0,'A4-cut','A4 painting',NULL,NULL);
INSERT INTO "sewing" VALUES(1,17,'A4-hem','A4','hem',45.0,'A4 cured',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,18,'A5-cut','A5','cut',15.0,NULL,NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,19,'A5-hem','A5','hem',45.0,'A5-cut','A5 painting',NULL,NULL);
INSERT INTO "sewing" VALUES(1,20,'A6-cut','A6','cut',30.0,NULL,'A6 painting',NULL,NULL);
INSERT INTO "sewing" VALUES(1,21,'A6-sew','A6','sew',60.0,'A6 cured',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,22,'A6-stud','A6','stud',50.0,'A6-sew',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,23,'A7-cut','A7','cut',45.0,NULL,'A7 painting',NULL,NULL);
INSERT INTO "sewing" VALUES(1,24,'A7-stud','A7','stud',50.0,'A7 cured',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,25,'A8-cut','A8','cut',30.0,NULL,'A8 painting',NULL,NULL);
INSERT INTO "sewing" VALUES(1,26,'A8-sew','A8','sew',45.0,'A8 cured',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,27,'A9-sew','A9','sew',30.0,'A9 cured',NULL,NULL,NULL);
INSERT INTO "sewing" VALUES(1,28,'A1-fit','A1','fit',60.0,'A1-hem;A4-hem',NULL,NULL,NULL);
CREATE TABLE shelf (
	only    INTEGER NOT NULL PRIMARY KEY CHECK (only = 1),
	version INTEGER NOT NULL
) STRICT;
INSERT INTO "shelf" VALUES(1,5);
CREATE TABLE stock (
	code TEXT NOT NULL PRIMARY KEY CHECK (code <> ''),
	version INTEGER NOT NULL DEFAULT 1,
	name TEXT NOT NULL CHECK (name <> ''),
	kind TEXT NOT NULL CHECK (kind IN ('paint','sealer','treatment','dye','cloth','trim')),
	medium TEXT, colour TEXT,
	hiding_black REAL, hiding_white REAL, wet_film_um REAL, spread_ml_m2 REAL, volume_solids_pct REAL,
	touch_h REAL, recoat_from_h REAL, recoat_until_h REAL, handle_h REAL, cure_h REAL,
	heat_c REAL, heat_min REAL, low_c REAL, elongation_pct REAL, base TEXT, fluorescent REAL,
	suits TEXT, hazards TEXT, contains TEXT, voc_g_l REAL,
	fibre TEXT, dye_class TEXT, width_cm REAL, shrinkage_pct REAL, iron_max_c REAL, stretch_pct REAL,
	unit TEXT, pack REAL, price INTEGER, opened TEXT, expires TEXT, note TEXT,
	extra TEXT
) STRICT;
INSERT INTO "stock" VALUES('W1',1,'Chalk white, opaque','paint','fabric paint','#F4F3EF',0.72,0.72,110.0,110.0,42.0,0.75,2.0,NULL,NULL,72.0,150.0,3.0,10.0,15.0,'water',NULL,'cotton;viscose;polyester;canvas',NULL,'acrylic binder;titanium dioxide',20.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',150.0,750,NULL,NULL,'heat set, or fixer X1',NULL);
INSERT INTO "stock" VALUES('W2',1,'Supple white base','paint','stretch paint','#F1F0EA',0.66,0.66,95.0,95.0,45.0,1.0,3.0,NULL,NULL,96.0,NULL,NULL,10.0,120.0,'water',NULL,'cotton;elastane;knit',NULL,'natural latex;titanium dioxide',15.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',100.0,980,NULL,NULL,'sets in air; contains natural latex',NULL);
INSERT INTO "stock" VALUES('W3',1,'Grey block base','paint','dye-blocking base','#8C8F90',0.9,0.95,100.0,100.0,46.0,1.0,3.0,NULL,NULL,48.0,NULL,NULL,10.0,NULL,'water',NULL,'cotton;viscose;polyester;canvas',NULL,'acrylic binder;active carbon',20.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',150.0,1100,NULL,NULL,'stops polyester dye; stands up to 120 °C',NULL);
INSERT INTO "stock" VALUES('F1',1,'Fluor coral','paint','fluorescent paint','#FF5A50',0.12,0.8,90.0,90.0,38.0,0.5,1.5,NULL,NULL,72.0,120.0,5.0,10.0,NULL,'water',600.0,'cotton;viscose;polyester;canvas',NULL,'acrylic binder;fluorescent pigment',20.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',75.0,690,NULL,NULL,'needs white below; fades in sun; do not thin; heat set, or fixer X1; the second hiding figure is the share of its full colour one coat gives on white',NULL);
INSERT INTO "stock" VALUES('T1',1,'Deep teal, opaque','paint','fabric paint','#1F6F78',0.55,0.93,110.0,110.0,36.0,0.75,2.0,NULL,NULL,72.0,150.0,3.0,10.0,15.0,'water',NULL,'cotton;viscose;polyester;canvas',NULL,'acrylic binder',20.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',100.0,620,NULL,NULL,'heat set, or fixer X1',NULL);
INSERT INTO "stock" VALUES('T3',1,'Supple teal','paint','stretch paint','#2B7A81',0.5,0.9,95.0,95.0,42.0,1.0,3.0,NULL,NULL,96.0,NULL,NULL,10.0,110.0,'water',NULL,'cotton;elastane;knit;polyester',NULL,'polyurethane binder',15.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',100.0,980,NULL,NULL,'sets in air; latex free',NULL);
INSERT INTO "stock" VALUES('G1',1,'Mid grey','paint','fabric paint','#70747A',0.65,0.85,110.0,110.0,38.0,0.75,2.0,NULL,NULL,72.0,150.0,3.0,10.0,15.0,'water',NULL,'cotton;viscose;polyester;canvas',NULL,'acrylic binder',20.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',150.0,620,NULL,NULL,'stiffens a coat cloth; heat set, or fixer X1',NULL);
INSERT INTO "stock" VALUES('G2',1,'Pale stone, flexible','paint','vinyl and leather paint','#BEB9AF',0.6,0.65,80.0,80.0,34.0,0.5,1.0,NULL,NULL,96.0,NULL,NULL,10.0,NULL,'water',NULL,'vinyl;leather;polyurethane',NULL,'polyurethane binder',40.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',30.0,490,NULL,NULL,'for flexible plastics; degrease first',NULL);
INSERT INTO "stock" VALUES('K1',1,'Soft black','paint','fabric paint','#232427',0.85,0.98,110.0,110.0,36.0,0.75,2.0,NULL,NULL,72.0,150.0,3.0,10.0,15.0,'water',NULL,'cotton;viscose;polyester;canvas',NULL,'acrylic binder',20.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',150.0,620,NULL,NULL,'heat set, or fixer X1',NULL);
INSERT INTO "stock" VALUES('B1',1,'Umber bronze','paint','prop acrylic','#6A4E33',0.7,0.92,85.0,85.0,40.0,0.5,1.5,NULL,NULL,72.0,NULL,NULL,10.0,NULL,'water',NULL,'sealed foam;wood',NULL,'acrylic binder',20.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',250.0,580,NULL,NULL,'foam only after S1',NULL);
INSERT INTO "stock" VALUES('B2',1,'Old gold paste','paint','metallic rub-on','#B18E55',0.45,0.5,15.0,15.0,55.0,0.5,4.0,NULL,NULL,48.0,NULL,NULL,10.0,NULL,'solvent',NULL,'sealed foam;wood','H226;H336','mineral spirits;wax',480.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',30.0,520,NULL,NULL,'solvent-based; angle shift; open window and fan',NULL);
INSERT INTO "stock" VALUES('V1',1,'Verdigris glaze','paint','prop glaze','#62A08F',0.18,0.55,60.0,60.0,22.0,0.5,1.0,NULL,NULL,48.0,NULL,NULL,10.0,NULL,'water',NULL,'sealed foam;wood',NULL,'acrylic binder',20.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',100.0,580,NULL,NULL,'transparent',NULL);
INSERT INTO "stock" VALUES('O1',1,'Oxblood, flexible','paint','vinyl and leather paint','#512B29',0.75,0.95,80.0,80.0,34.0,0.5,1.0,NULL,NULL,96.0,NULL,NULL,10.0,NULL,'water',NULL,'vinyl;leather;polyurethane',NULL,'polyurethane binder',40.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',30.0,490,NULL,NULL,'satin',NULL);
INSERT INTO "stock" VALUES('S1',1,'Foam sealer, flexible','sealer','foam sealer',NULL,NULL,NULL,NULL,120.0,40.0,0.75,1.0,NULL,NULL,24.0,NULL,NULL,10.0,NULL,'water',NULL,'foam',NULL,'polyurethane binder',20.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',500.0,900,NULL,NULL,'3 coats on raw foam',NULL);
INSERT INTO "stock" VALUES('S2',1,'Matt clear, flexible','sealer','clear coat',NULL,NULL,NULL,NULL,60.0,32.0,0.5,2.0,NULL,NULL,72.0,NULL,NULL,10.0,NULL,'water',NULL,'sealed foam;wood;leather',NULL,'polyurethane binder',30.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',150.0,700,NULL,NULL,'deepens colour slightly',NULL);
INSERT INTO "stock" VALUES('S3',1,'Clear aerosol, gloss','sealer','clear aerosol',NULL,NULL,NULL,NULL,90.0,12.0,0.25,0.25,1.0,NULL,48.0,NULL,NULL,10.0,NULL,'solvent',NULL,'wood;sealed foam','H222;H229;H319;H336','acetone;n-butyl acetate;propane;n-butane',650.0,NULL,NULL,NULL,NULL,NULL,NULL,'can',1.0,850,NULL,NULL,'recoat within 1 h or after 48 h; solvent; yard only; attacks raw foam',NULL);
INSERT INTO "stock" VALUES('X1',1,'Low-heat fixer','treatment','cross-linker',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,96.0,NULL,NULL,10.0,NULL,'water',NULL,'fabric paint;fluorescent paint','H317;H319','carbodiimide cross-linker',30.0,NULL,NULL,NULL,NULL,NULL,NULL,'ml',30.0,600,NULL,NULL,'2 % in the paint; pot life 8 h; cure becomes 96 h; skin sensitiser in the pot: gloves',NULL);
INSERT INTO "stock" VALUES('Z1',1,'Cationic fixative','treatment','dye fixative',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,60.0,20.0,NULL,NULL,'water',NULL,'cotton;viscose','H319','cationic polymer',NULL,NULL,NULL,NULL,NULL,NULL,NULL,'ml',200.0,740,NULL,NULL,'bath of 60 °C, 20 min; cotton and viscose only; for direct and reactive dyes',NULL);
INSERT INTO "stock" VALUES('D1',1,'Reactive ink blue','dye','dye powder','#232B45',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'cotton;viscose','H317;H334','reactive dye',NULL,NULL,'reactive',NULL,NULL,NULL,NULL,'g',50.0,550,NULL,NULL,'cold with soda; rinse 3 times; airway sensitiser as powder',NULL);
INSERT INTO "stock" VALUES('D2',1,'Teal alcohol ink','dye','fibre ink','#2A7D84',NULL,NULL,NULL,NULL,NULL,1.0,8.0,NULL,NULL,48.0,NULL,NULL,NULL,NULL,'solvent',NULL,'wig fibre','H225;H319;H336','ethanol',720.0,NULL,'solvent',NULL,NULL,NULL,NULL,'ml',20.0,420,NULL,NULL,'alcohol; wig fibre; cold rinse; only darkens',NULL);
INSERT INTO "stock" VALUES('C1',1,'Slate suiting','cloth','suiting','#6F7376',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'polyester-viscose 65/35',NULL,150.0,1.5,130.0,NULL,'m',1.0,950,NULL,NULL,'one roll',NULL);
INSERT INTO "stock" VALUES('C2',1,'Fog suiting','cloth','suiting','#6D7276',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'wool-polyamide 80/20',NULL,150.0,3.0,110.0,NULL,'m',1.0,1600,NULL,NULL,'steam only, a cloth between',NULL);
INSERT INTO "stock" VALUES('C3',1,'Charcoal twill','cloth','twill','#3F4247',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'cotton',NULL,140.0,5.0,180.0,NULL,'m',1.0,800,NULL,NULL,NULL,NULL);
INSERT INTO "stock" VALUES('C4',1,'White drill','cloth','drill','#F3F1EC',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'optical brightener',NULL,'cotton',NULL,150.0,4.0,200.0,NULL,'m',1.0,720,NULL,NULL,'holds brightener: glows blue-white under UV',NULL);
INSERT INTO "stock" VALUES('C5',1,'Ink velveteen','cloth','velveteen','#1F2638',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'cotton','direct',110.0,4.0,110.0,NULL,'m',1.0,1350,NULL,NULL,'steam only; nap',NULL);
INSERT INTO "stock" VALUES('C6',1,'Cream jersey','cloth','knit','#EFE8DA',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'cotton-elastane 92/8',NULL,160.0,5.0,110.0,55.0,'m',1.0,1080,NULL,NULL,'recovery 95 %; no brightener',NULL);
INSERT INTO "stock" VALUES('C7',1,'Navy canvas','cloth','canvas','#1E2A46',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'polyester','disperse',150.0,0.0,140.0,NULL,'m',1.0,890,NULL,NULL,NULL,NULL);
INSERT INTO "stock" VALUES('C8',1,'Black soft vinyl','cloth','vinyl on knit','#1C1C1E',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'plasticiser',NULL,'vinyl',NULL,NULL,NULL,0.0,NULL,'m',1.0,1100,NULL,NULL,'no heat; plasticiser wanders',NULL);
INSERT INTO "stock" VALUES('C9',1,'Closed-cell foam, 5 mm','cloth','foam sheet','#5A5A5C',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'foam',NULL,NULL,NULL,0.0,NULL,'m2',1.0,1200,NULL,NULL,'no iron; hot air to shape; attacked by solvent sprays until sealed',NULL);
INSERT INTO "stock" VALUES('C10',1,'Brown leather-look','cloth','leather-look','#5A3A33',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'polyurethane',NULL,140.0,NULL,0.0,NULL,'m',1.0,1400,NULL,NULL,'polyurethane on knit; no iron',NULL);
INSERT INTO "stock" VALUES('C11',1,'Oat lawn','cloth','lining','#E6DECF',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'cotton','undyed',140.0,NULL,180.0,NULL,'m',1.0,640,NULL,NULL,'barrier and shields',NULL);
INSERT INTO "stock" VALUES('H1',1,'Domed stud, antique brass, 9 mm','trim','metal','#8C7440',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'pc',1.0,8,NULL,NULL,'nickel content unknown',NULL);
INSERT INTO "stock" VALUES('H2',1,'Domed stud, bare brass, 9 mm','trim','metal','#B39A5B',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'copper;zinc',NULL,NULL,NULL,NULL,NULL,NULL,NULL,'pc',1.0,22,NULL,NULL,'declared nickel free',NULL);
INSERT INTO "stock" VALUES('H3',1,'Pale fibre weft','trim','wig fibre','#D9D6CF',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'wig fibre',NULL,NULL,NULL,0.0,NULL,'g',20.0,450,NULL,NULL,'synthetic; no heat; takes ink only darker',NULL);
CREATE TABLE target (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	origin TEXT NOT NULL CHECK (origin IN ('table','command')),
	area TEXT NOT NULL, colour TEXT NOT NULL, basis TEXT, low TEXT, high TEXT, radius REAL, rests TEXT, at TEXT, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, seq)
) STRICT;
INSERT INTO "target" VALUES(1,1,'command','A1','#6c7176','declared','lab(45.42 -2.94 -6.77)','lab(55.81 1.39 -1.88)',8.46301839537398592483e+00,'R1;R2;R3;stated in the table of areas','2026-11-25T11:39:39Z',NULL,NULL);
CREATE TABLE test (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	origin TEXT NOT NULL CHECK (origin IN ('table','command')),
	code TEXT NOT NULL, subject TEXT, against TEXT, how TEXT, "when" TEXT, condition TEXT,
	clean TEXT, stained TEXT, age_h REAL, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, code)
) STRICT;
INSERT INTO "test" VALUES(1,1,'table','RT1','C5','white cloth','dry rub','2026-10-16T23:00:00Z','as bought','lab(95.2 -0.3 2.1)','lab(91.6 -0.6 0.3)',NULL,'10 strokes',NULL);
INSERT INTO "test" VALUES(1,2,'table','RT2','C5','white cloth','damp rub','2026-10-16T23:00:00Z','as bought','lab(95.2 -0.3 2.1)','lab(82.5 0.4 -3.2)',NULL,'10 strokes',NULL);
INSERT INTO "test" VALUES(1,3,'table','RT3','C5','white cloth','damp rub','2026-10-19T23:00:00Z','washed twice at 40 °C','lab(95.2 -0.3 2.1)','lab(87.4 0.1 -1.6)',NULL,'10 strokes',NULL);
INSERT INTO "test" VALUES(1,4,'table','RT4','C5','white cloth','damp rub','2026-10-21T23:00:00Z','washed twice at 40 °C and fixed with Z1','lab(95.2 -0.3 2.1)','lab(91.2 -0.2 0.4)',NULL,'10 strokes',NULL);
INSERT INTO "test" VALUES(1,5,'table','RT5','C1','white cloth','damp rub','2026-10-16T23:00:00Z','as bought','lab(95.2 -0.3 2.1)','lab(92.7 -0.5 0.6)',NULL,'10 strokes',NULL);
INSERT INTO "test" VALUES(1,6,'table','RT6','C7','white cloth','damp rub','2026-10-16T23:00:00Z','as bought','lab(95.2 -0.3 2.1)','lab(93.8 -0.4 1.2)',NULL,'10 strokes',NULL);
INSERT INTO "test" VALUES(1,7,'table','RT7','C7','W1','heat','2026-10-18T23:00:00Z','under W1, iron 150 °C','lab(95.2 -0.3 2.1)','lab(88.0 0.9 -4.0)',24.0,'W1 patch on the canvas, looked at the next day',NULL);
INSERT INTO "test" VALUES(1,8,'table','RT8','C7','W1','heat','2026-10-20T23:00:00Z','under W3 and W1, iron 120 °C','lab(95.2 -0.3 2.1)','lab(94.0 -0.2 1.6)',24.0,'W1 patch on the canvas, looked at the next day',NULL);
INSERT INTO "test" VALUES(1,9,'table','RT9','C8','C6','press','2026-10-18T23:00:00Z','48 h, 40 °C','lab(95.2 -0.3 2.1)','lab(92.0 -0.3 1.0)',48.0,NULL,NULL);
INSERT INTO "test" VALUES(1,10,'table','RT10','T3','white cloth','damp rub','2026-10-17T23:00:00Z','on C6, 24 h old','lab(95.2 -0.3 2.1)','lab(90.4 -2.6 -0.6)',24.0,'10 strokes',NULL);
INSERT INTO "test" VALUES(1,11,'table','RT11','T3','white cloth','damp rub','2026-10-20T23:00:00Z','on C6, 96 h old','lab(95.2 -0.3 2.1)','lab(94.1 -0.9 1.6)',96.0,'10 strokes',NULL);
INSERT INTO "test" VALUES(1,12,'table','RT12','F1','white cloth','dry rub','2026-10-20T23:00:00Z','on its base, cured','lab(95.2 -0.3 2.1)','lab(93.0 2.6 2.9)',NULL,'10 strokes',NULL);
INSERT INTO "test" VALUES(1,13,'command','RT13','C8','white cloth','dry rub','2026-10-26T09:00:00Z',NULL,NULL,NULL,NULL,'kept by command','{"grade":"4-5"}');
CREATE TABLE wearer (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	code TEXT NOT NULL, name TEXT, size TEXT, area_factor REAL, sensitivities TEXT,
	extra TEXT,
	PRIMARY KEY (job, code)
) STRICT;
INSERT INTO "wearer" VALUES(1,1,'P1','Lead','M',1.0,NULL,NULL);
INSERT INTO "wearer" VALUES(1,2,'P2','Second','S',0.88,'nickel',NULL);
INSERT INTO "wearer" VALUES(1,3,'P3','Third','XL',1.24,'latex',NULL);
CREATE TABLE weighing (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	code TEXT NOT NULL REFERENCES stock (code) ON UPDATE CASCADE,
	at TEXT NOT NULL,
	before_g REAL NOT NULL, after_g REAL NOT NULL,
	painted_m2 REAL NOT NULL CHECK (painted_m2 > 0),
	coats INTEGER NOT NULL CHECK (coats > 0),
	density_g_ml REAL CHECK (density_g_ml > 0),
	job TEXT, area TEXT, step TEXT, note TEXT,
	CHECK (before_g > after_g)
) STRICT;
CREATE INDEX movement_by_code ON movement (code, id, amount, held, job);
CREATE INDEX movement_by_job ON movement (job, code, held) WHERE job IS NOT NULL;
CREATE INDEX measure_by_code ON measure (code, id);
CREATE INDEX done_by_job ON done (job, seq);
CREATE UNIQUE INDEX done_once ON done (job, step) WHERE withdrawn IS NULL;
CREATE INDEX batch_by_recipe ON batch (recipe);
CREATE INDEX batch_use_by_batch ON batch_use (batch);
CREATE INDEX weighing_by_code ON weighing (code);
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('movement',36);
INSERT INTO "sqlite_sequence" VALUES('recipe',2);
INSERT INTO "sqlite_sequence" VALUES('batch',1);
COMMIT;
PRAGMA application_id=1432579956;
PRAGMA user_version=1;
