-- What sqlite3's dump wrote of a ledger of schema 3 that its own commands had filled.
PRAGMA application_id = 1129534257;
PRAGMA user_version = 3;
BEGIN TRANSACTION;
CREATE TABLE acts (
    id INTEGER PRIMARY KEY,
    time TEXT NOT NULL,
    name TEXT NOT NULL,
    note TEXT NOT NULL DEFAULT '',
    reverses INTEGER UNIQUE REFERENCES acts
, project INTEGER REFERENCES projects, from_state TEXT, to_state TEXT) STRICT;
INSERT INTO "acts" VALUES(1,'2026-11-29T01:59:10.799595Z','imported','stash',NULL,NULL,NULL,NULL);
INSERT INTO "acts" VALUES(2,'2026-11-29T01:59:12.091973Z','kitted','',NULL,1,'planned','kitted');
INSERT INTO "acts" VALUES(3,'2026-11-29T01:59:12.541999Z','started','',NULL,1,'kitted','in work');
INSERT INTO "acts" VALUES(4,'2026-11-29T01:59:13.142192Z','bought','',NULL,NULL,NULL,NULL);
INSERT INTO "acts" VALUES(5,'2026-11-29T01:59:13.686686Z','bought','',NULL,NULL,NULL,NULL);
INSERT INTO "acts" VALUES(6,'2026-11-29T01:59:16.817368Z','kitted','',NULL,4,'planned','kitted');
INSERT INTO "acts" VALUES(7,'2026-11-29T01:59:19.592861Z','set apart','',NULL,2,NULL,NULL);
CREATE TABLE balances (
    stock INTEGER PRIMARY KEY REFERENCES stock,
    kind TEXT NOT NULL,
    thread INTEGER,
    owned INTEGER NOT NULL DEFAULT 0,
    promised INTEGER NOT NULL DEFAULT 0,
    CONSTRAINT owned_not_negative CHECK (owned >= 0),
    CONSTRAINT promised_not_negative CHECK (promised >= 0),
    CONSTRAINT promised_within_owned CHECK (promised <= owned)
) STRICT;
INSERT INTO "balances" VALUES(1,'skein',1,3,1);
INSERT INTO "balances" VALUES(2,'part',1,1500,0);
INSERT INTO "balances" VALUES(3,'skein',2,1,0);
INSERT INTO "balances" VALUES(4,'part',3,3000,0);
INSERT INTO "balances" VALUES(5,'skein',4,3,0);
INSERT INTO "balances" VALUES(6,'skein',5,4,0);
INSERT INTO "balances" VALUES(7,'skein',6,4,0);
INSERT INTO "balances" VALUES(8,'part',6,5800,0);
INSERT INTO "balances" VALUES(9,'skein',7,2,2);
INSERT INTO "balances" VALUES(10,'part',7,0,0);
INSERT INTO "balances" VALUES(11,'part',8,7400,0);
INSERT INTO "balances" VALUES(12,'skein',9,4,0);
INSERT INTO "balances" VALUES(13,'skein',10,4,0);
INSERT INTO "balances" VALUES(14,'skein',11,4,0);
INSERT INTO "balances" VALUES(15,'part',12,6700,0);
INSERT INTO "balances" VALUES(16,'skein',13,1,0);
INSERT INTO "balances" VALUES(17,'part',13,4100,0);
INSERT INTO "balances" VALUES(18,'skein',14,2,0);
INSERT INTO "balances" VALUES(19,'part',15,4300,0);
INSERT INTO "balances" VALUES(20,'skein',16,1,0);
INSERT INTO "balances" VALUES(21,'part',17,5400,0);
INSERT INTO "balances" VALUES(22,'skein',18,3,0);
INSERT INTO "balances" VALUES(23,'skein',19,1,0);
INSERT INTO "balances" VALUES(24,'skein',20,2,0);
INSERT INTO "balances" VALUES(25,'part',21,4100,0);
INSERT INTO "balances" VALUES(26,'skein',22,3,0);
INSERT INTO "balances" VALUES(27,'part',22,2400,0);
INSERT INTO "balances" VALUES(28,'skein',23,2,0);
INSERT INTO "balances" VALUES(29,'part',23,2200,0);
INSERT INTO "balances" VALUES(30,'part',24,7300,0);
INSERT INTO "balances" VALUES(31,'skein',25,2,1);
INSERT INTO "balances" VALUES(32,'skein',26,2,0);
INSERT INTO "balances" VALUES(33,'part',27,600,0);
INSERT INTO "balances" VALUES(34,'skein',28,1,0);
INSERT INTO "balances" VALUES(35,'part',28,2000,0);
INSERT INTO "balances" VALUES(36,'part',29,2500,0);
INSERT INTO "balances" VALUES(37,'skein',30,2,0);
INSERT INTO "balances" VALUES(38,'skein',31,1,0);
INSERT INTO "balances" VALUES(39,'part',31,2600,0);
INSERT INTO "balances" VALUES(40,'skein',32,2,0);
INSERT INTO "balances" VALUES(41,'part',32,6200,0);
INSERT INTO "balances" VALUES(42,'skein',33,4,0);
INSERT INTO "balances" VALUES(43,'part',33,4200,0);
INSERT INTO "balances" VALUES(44,'skein',34,1,0);
INSERT INTO "balances" VALUES(45,'part',34,5600,0);
INSERT INTO "balances" VALUES(46,'skein',35,3,0);
INSERT INTO "balances" VALUES(47,'part',35,1800,0);
INSERT INTO "balances" VALUES(48,'skein',36,3,0);
INSERT INTO "balances" VALUES(49,'skein',37,2,0);
INSERT INTO "balances" VALUES(50,'skein',38,2,0);
INSERT INTO "balances" VALUES(51,'part',38,4400,0);
INSERT INTO "balances" VALUES(52,'skein',39,3,0);
INSERT INTO "balances" VALUES(53,'part',39,6300,0);
INSERT INTO "balances" VALUES(54,'skein',40,1,0);
INSERT INTO "balances" VALUES(55,'part',40,2100,0);
INSERT INTO "balances" VALUES(56,'skein',41,3,0);
INSERT INTO "balances" VALUES(57,'skein',42,1,0);
INSERT INTO "balances" VALUES(58,'skein',43,3,0);
INSERT INTO "balances" VALUES(59,'part',43,5100,0);
INSERT INTO "balances" VALUES(60,'skein',44,1,0);
INSERT INTO "balances" VALUES(61,'skein',45,2,0);
INSERT INTO "balances" VALUES(62,'skein',46,1,1);
INSERT INTO "balances" VALUES(63,'part',46,4700,4700);
INSERT INTO "balances" VALUES(64,'skein',47,4,0);
INSERT INTO "balances" VALUES(65,'skein',48,2,0);
INSERT INTO "balances" VALUES(66,'skein',49,2,0);
INSERT INTO "balances" VALUES(67,'skein',50,1,0);
INSERT INTO "balances" VALUES(68,'part',51,4700,0);
INSERT INTO "balances" VALUES(69,'skein',52,2,0);
INSERT INTO "balances" VALUES(70,'part',52,5000,0);
INSERT INTO "balances" VALUES(71,'skein',53,2,0);
INSERT INTO "balances" VALUES(72,'part',54,4600,0);
INSERT INTO "balances" VALUES(73,'skein',55,3,0);
INSERT INTO "balances" VALUES(74,'skein',56,1,0);
INSERT INTO "balances" VALUES(75,'skein',57,1,0);
INSERT INTO "balances" VALUES(76,'skein',58,1,0);
INSERT INTO "balances" VALUES(77,'skein',59,1,0);
INSERT INTO "balances" VALUES(78,'part',59,6200,0);
INSERT INTO "balances" VALUES(79,'skein',60,2,0);
INSERT INTO "balances" VALUES(80,'skein',61,1,0);
INSERT INTO "balances" VALUES(81,'part',61,6500,0);
INSERT INTO "balances" VALUES(82,'skein',62,3,0);
INSERT INTO "balances" VALUES(83,'skein',63,3,0);
INSERT INTO "balances" VALUES(84,'skein',64,1,0);
INSERT INTO "balances" VALUES(85,'skein',65,1,0);
INSERT INTO "balances" VALUES(86,'skein',66,1,0);
INSERT INTO "balances" VALUES(87,'skein',67,2,0);
INSERT INTO "balances" VALUES(88,'skein',68,1,0);
INSERT INTO "balances" VALUES(89,'skein',69,3,1);
INSERT INTO "balances" VALUES(90,'part',69,3100,0);
INSERT INTO "balances" VALUES(91,'skein',70,3,0);
INSERT INTO "balances" VALUES(92,'part',70,3200,0);
INSERT INTO "balances" VALUES(93,'skein',71,1,0);
INSERT INTO "balances" VALUES(94,'part',71,7100,0);
INSERT INTO "balances" VALUES(95,'skein',72,2,0);
INSERT INTO "balances" VALUES(96,'part',72,2700,0);
INSERT INTO "balances" VALUES(97,'skein',73,2,0);
INSERT INTO "balances" VALUES(98,'part',73,1300,0);
INSERT INTO "balances" VALUES(99,'skein',74,3,0);
INSERT INTO "balances" VALUES(100,'part',74,6100,0);
INSERT INTO "balances" VALUES(101,'skein',75,1,0);
INSERT INTO "balances" VALUES(102,'part',75,4800,0);
INSERT INTO "balances" VALUES(103,'skein',76,1,0);
INSERT INTO "balances" VALUES(104,'part',77,1800,0);
INSERT INTO "balances" VALUES(105,'skein',78,1,0);
INSERT INTO "balances" VALUES(106,'part',79,4200,0);
INSERT INTO "balances" VALUES(107,'skein',80,2,0);
INSERT INTO "balances" VALUES(108,'part',80,5400,0);
INSERT INTO "balances" VALUES(109,'skein',81,2,0);
INSERT INTO "balances" VALUES(110,'skein',82,4,0);
INSERT INTO "balances" VALUES(111,'skein',83,2,0);
INSERT INTO "balances" VALUES(112,'part',83,4500,0);
INSERT INTO "balances" VALUES(113,'skein',84,4,0);
INSERT INTO "balances" VALUES(114,'skein',85,4,0);
INSERT INTO "balances" VALUES(115,'part',85,5800,0);
INSERT INTO "balances" VALUES(116,'skein',86,2,0);
INSERT INTO "balances" VALUES(117,'skein',87,1,0);
INSERT INTO "balances" VALUES(118,'skein',88,3,0);
INSERT INTO "balances" VALUES(119,'skein',89,1,0);
INSERT INTO "balances" VALUES(120,'skein',90,1,0);
INSERT INTO "balances" VALUES(121,'skein',91,2,0);
INSERT INTO "balances" VALUES(122,'part',91,2900,0);
INSERT INTO "balances" VALUES(123,'skein',92,1,0);
INSERT INTO "balances" VALUES(124,'skein',93,4,0);
INSERT INTO "balances" VALUES(125,'part',93,1000,0);
INSERT INTO "balances" VALUES(126,'part',94,3200,0);
INSERT INTO "balances" VALUES(127,'part',95,2000,0);
INSERT INTO "balances" VALUES(128,'skein',96,3,0);
INSERT INTO "balances" VALUES(129,'piece',NULL,1,1);
INSERT INTO "balances" VALUES(130,'piece',NULL,1,0);
INSERT INTO "balances" VALUES(131,'piece',NULL,1,1);
INSERT INTO "balances" VALUES(132,'piece',NULL,1,0);
INSERT INTO "balances" VALUES(133,'piece',NULL,1,0);
INSERT INTO "balances" VALUES(134,'notion',NULL,6000,6000);
INSERT INTO "balances" VALUES(135,'notion',NULL,3000,2500);
INSERT INTO "balances" VALUES(136,'notion',NULL,4000,0);
INSERT INTO "balances" VALUES(137,'chart',NULL,1,1);
INSERT INTO "balances" VALUES(138,'chart',NULL,1,1);
INSERT INTO "balances" VALUES(139,'chart',NULL,0,0);
INSERT INTO "balances" VALUES(140,'part',25,3042,3042);
INSERT INTO "balances" VALUES(141,'part',25,4958,0);
INSERT INTO "balances" VALUES(142,'skein',110,2,0);
INSERT INTO "balances" VALUES(143,'part',1,3500,0);
INSERT INTO "balances" VALUES(144,'notion',NULL,0,0);
INSERT INTO "balances" VALUES(145,'part',69,3248,3248);
INSERT INTO "balances" VALUES(146,'part',69,4752,0);
INSERT INTO "balances" VALUES(147,'part',7,5139,5139);
INSERT INTO "balances" VALUES(148,'part',7,1861,0);
CREATE TABLE charts (
    stock INTEGER PRIMARY KEY REFERENCES stock,
    title TEXT NOT NULL UNIQUE CHECK (title <> ''),
    file TEXT NOT NULL DEFAULT '',
    book TEXT NOT NULL DEFAULT '',
    issue TEXT NOT NULL DEFAULT '',
    page TEXT NOT NULL DEFAULT '',
    place TEXT NOT NULL DEFAULT '',
    note TEXT NOT NULL DEFAULT ''
) STRICT;
INSERT INTO "charts" VALUES(137,'Band sampler','charts/stash/sampler.json','','','','green folder','');
INSERT INTO "charts" VALUES(138,'Frost star','charts/stash/ornament.json','Stars to hang','','12','shelf 2','');
INSERT INTO "charts" VALUES(139,'Evening hills','charts/stash/picture.json','','','','','');
CREATE TABLE choices (
    project INTEGER NOT NULL REFERENCES projects,
    called INTEGER NOT NULL REFERENCES threads,
    used INTEGER NOT NULL REFERENCES threads,
    PRIMARY KEY (project, called)
) STRICT, WITHOUT ROWID;
CREATE TABLE demands (
    thread INTEGER NOT NULL REFERENCES threads,
    project INTEGER NOT NULL REFERENCES projects,
    length_mm INTEGER NOT NULL,
    PRIMARY KEY (thread, project)
) STRICT, WITHOUT ROWID;
INSERT INTO "demands" VALUES(1,3,1859);
INSERT INTO "demands" VALUES(1,4,8000);
INSERT INTO "demands" VALUES(3,3,1227);
INSERT INTO "demands" VALUES(7,2,21139);
INSERT INTO "demands" VALUES(7,3,1429);
INSERT INTO "demands" VALUES(14,3,1567);
INSERT INTO "demands" VALUES(19,3,1600);
INSERT INTO "demands" VALUES(23,3,1600);
INSERT INTO "demands" VALUES(25,1,11042);
INSERT INTO "demands" VALUES(25,3,1577);
INSERT INTO "demands" VALUES(44,3,1525);
INSERT INTO "demands" VALUES(46,2,12442);
INSERT INTO "demands" VALUES(46,3,1544);
INSERT INTO "demands" VALUES(54,3,1547);
INSERT INTO "demands" VALUES(60,3,1583);
INSERT INTO "demands" VALUES(69,2,11248);
INSERT INTO "demands" VALUES(69,3,1567);
INSERT INTO "demands" VALUES(73,3,1610);
INSERT INTO "demands" VALUES(77,3,1597);
INSERT INTO "demands" VALUES(80,3,1583);
INSERT INTO "demands" VALUES(86,3,1400);
INSERT INTO "demands" VALUES(89,3,1104);
INSERT INTO "demands" VALUES(97,3,1547);
INSERT INTO "demands" VALUES(98,3,1551);
INSERT INTO "demands" VALUES(99,3,1580);
INSERT INTO "demands" VALUES(100,3,1547);
INSERT INTO "demands" VALUES(101,3,1541);
INSERT INTO "demands" VALUES(102,3,1547);
INSERT INTO "demands" VALUES(103,3,1590);
INSERT INTO "demands" VALUES(104,3,1580);
INSERT INTO "demands" VALUES(105,3,1597);
INSERT INTO "demands" VALUES(106,3,1623);
INSERT INTO "demands" VALUES(107,3,1606);
INSERT INTO "demands" VALUES(108,3,1574);
INSERT INTO "demands" VALUES(109,3,1594);
CREATE TABLE entries (
    id INTEGER PRIMARY KEY,
    act INTEGER NOT NULL REFERENCES acts,
    stock INTEGER NOT NULL REFERENCES stock,
    kind TEXT NOT NULL CHECK (kind IN
        ('bought', 'promised', 'released', 'used', 'lost', 'counted', 'cut', 'opened', 'left')),
    owned INTEGER NOT NULL DEFAULT 0,
    promised INTEGER NOT NULL DEFAULT 0,
    reverses INTEGER UNIQUE REFERENCES entries
) STRICT;
INSERT INTO "entries" VALUES(1,1,1,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(2,1,2,'counted',1500,0,NULL);
INSERT INTO "entries" VALUES(3,1,3,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(4,1,4,'counted',3000,0,NULL);
INSERT INTO "entries" VALUES(5,1,5,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(6,1,6,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(7,1,7,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(8,1,8,'counted',5800,0,NULL);
INSERT INTO "entries" VALUES(9,1,9,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(10,1,10,'counted',7000,0,NULL);
INSERT INTO "entries" VALUES(11,1,11,'counted',7400,0,NULL);
INSERT INTO "entries" VALUES(12,1,12,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(13,1,13,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(14,1,14,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(15,1,15,'counted',6700,0,NULL);
INSERT INTO "entries" VALUES(16,1,16,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(17,1,17,'counted',4100,0,NULL);
INSERT INTO "entries" VALUES(18,1,18,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(19,1,19,'counted',4300,0,NULL);
INSERT INTO "entries" VALUES(20,1,20,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(21,1,21,'counted',5400,0,NULL);
INSERT INTO "entries" VALUES(22,1,22,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(23,1,23,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(24,1,24,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(25,1,25,'counted',4100,0,NULL);
INSERT INTO "entries" VALUES(26,1,26,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(27,1,27,'counted',2400,0,NULL);
INSERT INTO "entries" VALUES(28,1,28,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(29,1,29,'counted',2200,0,NULL);
INSERT INTO "entries" VALUES(30,1,30,'counted',7300,0,NULL);
INSERT INTO "entries" VALUES(31,1,31,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(32,1,32,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(33,1,33,'counted',600,0,NULL);
INSERT INTO "entries" VALUES(34,1,34,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(35,1,35,'counted',2000,0,NULL);
INSERT INTO "entries" VALUES(36,1,36,'counted',2500,0,NULL);
INSERT INTO "entries" VALUES(37,1,37,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(38,1,38,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(39,1,39,'counted',2600,0,NULL);
INSERT INTO "entries" VALUES(40,1,40,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(41,1,41,'counted',6200,0,NULL);
INSERT INTO "entries" VALUES(42,1,42,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(43,1,43,'counted',4200,0,NULL);
INSERT INTO "entries" VALUES(44,1,44,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(45,1,45,'counted',5600,0,NULL);
INSERT INTO "entries" VALUES(46,1,46,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(47,1,47,'counted',1800,0,NULL);
INSERT INTO "entries" VALUES(48,1,48,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(49,1,49,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(50,1,50,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(51,1,51,'counted',4400,0,NULL);
INSERT INTO "entries" VALUES(52,1,52,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(53,1,53,'counted',6300,0,NULL);
INSERT INTO "entries" VALUES(54,1,54,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(55,1,55,'counted',2100,0,NULL);
INSERT INTO "entries" VALUES(56,1,56,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(57,1,57,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(58,1,58,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(59,1,59,'counted',5100,0,NULL);
INSERT INTO "entries" VALUES(60,1,60,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(61,1,61,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(62,1,62,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(63,1,63,'counted',4700,0,NULL);
INSERT INTO "entries" VALUES(64,1,64,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(65,1,65,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(66,1,66,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(67,1,67,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(68,1,68,'counted',4700,0,NULL);
INSERT INTO "entries" VALUES(69,1,69,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(70,1,70,'counted',5000,0,NULL);
INSERT INTO "entries" VALUES(71,1,71,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(72,1,72,'counted',4600,0,NULL);
INSERT INTO "entries" VALUES(73,1,73,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(74,1,74,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(75,1,75,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(76,1,76,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(77,1,77,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(78,1,78,'counted',6200,0,NULL);
INSERT INTO "entries" VALUES(79,1,79,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(80,1,80,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(81,1,81,'counted',6500,0,NULL);
INSERT INTO "entries" VALUES(82,1,82,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(83,1,83,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(84,1,84,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(85,1,85,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(86,1,86,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(87,1,87,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(88,1,88,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(89,1,89,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(90,1,90,'counted',3100,0,NULL);
INSERT INTO "entries" VALUES(91,1,91,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(92,1,92,'counted',3200,0,NULL);
INSERT INTO "entries" VALUES(93,1,93,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(94,1,94,'counted',7100,0,NULL);
INSERT INTO "entries" VALUES(95,1,95,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(96,1,96,'counted',2700,0,NULL);
INSERT INTO "entries" VALUES(97,1,97,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(98,1,98,'counted',1300,0,NULL);
INSERT INTO "entries" VALUES(99,1,99,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(100,1,100,'counted',6100,0,NULL);
INSERT INTO "entries" VALUES(101,1,101,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(102,1,102,'counted',4800,0,NULL);
INSERT INTO "entries" VALUES(103,1,103,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(104,1,104,'counted',1800,0,NULL);
INSERT INTO "entries" VALUES(105,1,105,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(106,1,106,'counted',4200,0,NULL);
INSERT INTO "entries" VALUES(107,1,107,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(108,1,108,'counted',5400,0,NULL);
INSERT INTO "entries" VALUES(109,1,109,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(110,1,110,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(111,1,111,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(112,1,112,'counted',4500,0,NULL);
INSERT INTO "entries" VALUES(113,1,113,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(114,1,114,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(115,1,115,'counted',5800,0,NULL);
INSERT INTO "entries" VALUES(116,1,116,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(117,1,117,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(118,1,118,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(119,1,119,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(120,1,120,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(121,1,121,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(122,1,122,'counted',2900,0,NULL);
INSERT INTO "entries" VALUES(123,1,123,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(124,1,124,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(125,1,125,'counted',1000,0,NULL);
INSERT INTO "entries" VALUES(126,1,126,'counted',3200,0,NULL);
INSERT INTO "entries" VALUES(127,1,127,'counted',2000,0,NULL);
INSERT INTO "entries" VALUES(128,1,128,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(129,1,129,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(130,1,130,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(131,1,131,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(132,1,132,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(133,1,133,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(134,1,134,'counted',6000,0,NULL);
INSERT INTO "entries" VALUES(135,1,135,'counted',3000,0,NULL);
INSERT INTO "entries" VALUES(136,1,136,'counted',4000,0,NULL);
INSERT INTO "entries" VALUES(137,1,137,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(138,1,138,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(139,2,31,'opened',-1,0,NULL);
INSERT INTO "entries" VALUES(140,2,140,'opened',3042,0,NULL);
INSERT INTO "entries" VALUES(141,2,140,'promised',0,3042,NULL);
INSERT INTO "entries" VALUES(142,2,141,'opened',4958,0,NULL);
INSERT INTO "entries" VALUES(143,2,31,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(144,2,129,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(145,2,137,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(146,4,142,'bought',2,0,NULL);
INSERT INTO "entries" VALUES(147,5,143,'bought',3500,0,NULL);
INSERT INTO "entries" VALUES(148,6,1,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(149,7,89,'opened',-1,0,NULL);
INSERT INTO "entries" VALUES(150,7,145,'opened',3248,0,NULL);
INSERT INTO "entries" VALUES(151,7,145,'promised',0,3248,NULL);
INSERT INTO "entries" VALUES(152,7,146,'opened',4752,0,NULL);
INSERT INTO "entries" VALUES(153,7,89,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(154,7,63,'promised',0,4700,NULL);
INSERT INTO "entries" VALUES(155,7,62,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(156,7,10,'opened',-7000,0,NULL);
INSERT INTO "entries" VALUES(157,7,147,'opened',5139,0,NULL);
INSERT INTO "entries" VALUES(158,7,147,'promised',0,5139,NULL);
INSERT INTO "entries" VALUES(159,7,148,'opened',1861,0,NULL);
INSERT INTO "entries" VALUES(160,7,9,'promised',0,2,NULL);
INSERT INTO "entries" VALUES(161,7,131,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(162,7,135,'promised',0,2500,NULL);
INSERT INTO "entries" VALUES(163,7,134,'promised',0,6000,NULL);
INSERT INTO "entries" VALUES(164,7,138,'promised',0,1,NULL);
CREATE TABLE fabric_needs (
    id INTEGER PRIMARY KEY,
    project INTEGER NOT NULL REFERENCES projects,
    source TEXT NOT NULL CHECK (source IN ('chart', 'hand')),
    count REAL NOT NULL CHECK (count > 0),
    colour TEXT NOT NULL DEFAULT '',
    width_mm INTEGER NOT NULL CHECK (width_mm > 0),
    height_mm INTEGER NOT NULL CHECK (height_mm > 0),
    pieces INTEGER NOT NULL CHECK (pieces > 0)
) STRICT;
INSERT INTO "fabric_needs" VALUES(1,2,'chart',14.0,'snow',100,100,25);
INSERT INTO "fabric_needs" VALUES(2,3,'chart',28.0,'ivory',368,314,1);
INSERT INTO "fabric_needs" VALUES(3,1,'chart',28.0,'ivory',259,477,1);
CREATE TABLE fabric_prices (
    count REAL NOT NULL CHECK (count > 0),
    colour TEXT NOT NULL DEFAULT '',
    price_per_m2 INTEGER NOT NULL CHECK (price_per_m2 >= 0),
    PRIMARY KEY (count, colour)
) STRICT, WITHOUT ROWID;
INSERT INTO "fabric_prices" VALUES(14.0,'snow',2400);
INSERT INTO "fabric_prices" VALUES(28.0,'ivory',5800);
CREATE TABLE holdings (
    project INTEGER NOT NULL REFERENCES projects,
    stock INTEGER NOT NULL REFERENCES stock,
    amount INTEGER NOT NULL,
    CONSTRAINT holding_not_negative CHECK (amount >= 0),
    PRIMARY KEY (project, stock)
) STRICT, WITHOUT ROWID;
INSERT INTO "holdings" VALUES(1,31,1);
INSERT INTO "holdings" VALUES(1,129,1);
INSERT INTO "holdings" VALUES(1,137,1);
INSERT INTO "holdings" VALUES(1,140,3042);
INSERT INTO "holdings" VALUES(2,9,2);
INSERT INTO "holdings" VALUES(2,62,1);
INSERT INTO "holdings" VALUES(2,63,4700);
INSERT INTO "holdings" VALUES(2,89,1);
INSERT INTO "holdings" VALUES(2,131,1);
INSERT INTO "holdings" VALUES(2,134,6000);
INSERT INTO "holdings" VALUES(2,135,2500);
INSERT INTO "holdings" VALUES(2,138,1);
INSERT INTO "holdings" VALUES(2,145,3248);
INSERT INTO "holdings" VALUES(2,147,5139);
INSERT INTO "holdings" VALUES(4,1,1);
CREATE TABLE migrations (number INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, taken TEXT NOT NULL) STRICT;
INSERT INTO "migrations" VALUES(1,'stock and entries','2026-11-29T01:59:10.761947Z');
INSERT INTO "migrations" VALUES(2,'projects and needs','2026-11-29T01:59:10.761947Z');
INSERT INTO "migrations" VALUES(3,'prices and wishes','2026-11-29T01:59:10.761947Z');
CREATE TABLE notion_needs (
    id INTEGER PRIMARY KEY,
    project INTEGER NOT NULL REFERENCES projects,
    notion INTEGER NOT NULL REFERENCES notions,
    amount INTEGER NOT NULL CHECK (amount > 0),
    note TEXT NOT NULL DEFAULT ''
) STRICT;
INSERT INTO "notion_needs" VALUES(1,2,134,10000,'');
INSERT INTO "notion_needs" VALUES(2,2,135,2500,'10 cm each');
INSERT INTO "notion_needs" VALUES(3,2,144,1000,'');
CREATE TABLE notions (
    stock INTEGER PRIMARY KEY REFERENCES stock,
    name TEXT NOT NULL CHECK (name <> ''),
    unit TEXT NOT NULL DEFAULT '',
    note TEXT NOT NULL DEFAULT '', price INTEGER CHECK (price >= 0),
    UNIQUE (name, unit)
) STRICT;
INSERT INTO "notions" VALUES(134,'seed beads, frost','g','blue tin',90);
INSERT INTO "notions" VALUES(135,'hanging loops, silver','m','',150);
INSERT INTO "notions" VALUES(136,'tapestry needles 26','','',60);
INSERT INTO "notions" VALUES(144,'needle','','',NULL);
CREATE TABLE pieces (
    stock INTEGER PRIMARY KEY REFERENCES stock,
    label TEXT NOT NULL UNIQUE CHECK (label <> ''),
    count REAL NOT NULL CHECK (count > 0),
    count_down REAL CHECK (count_down > 0),
    colour TEXT NOT NULL DEFAULT '',
    hex TEXT,
    fibre TEXT NOT NULL DEFAULT '',
    width_mm INTEGER NOT NULL CHECK (width_mm > 0),
    height_mm INTEGER NOT NULL CHECK (height_mm > 0),
    note TEXT NOT NULL DEFAULT ''
, meant_for INTEGER REFERENCES projects) STRICT;
INSERT INTO "pieces" VALUES(129,'F1',28.0,NULL,'ivory','#f4eedd','linen',500,700,'',NULL);
INSERT INTO "pieces" VALUES(130,'F2',28.0,NULL,'ivory','#f4eedd','linen',350,350,'',NULL);
INSERT INTO "pieces" VALUES(131,'F3',14.0,NULL,'snow','#fbfbf8','cotton',1100,600,'',NULL);
INSERT INTO "pieces" VALUES(132,'F4',28.0,NULL,'oat','#e3d5ba','cotton and viscose',450,450,'',NULL);
INSERT INTO "pieces" VALUES(133,'F5',32.0,NULL,'dusk','#8d97a6','linen',500,400,'',NULL);
CREATE TABLE project_charts (
    project INTEGER NOT NULL REFERENCES projects,
    part INTEGER NOT NULL,
    chart INTEGER NOT NULL REFERENCES charts,
    PRIMARY KEY (project, part)
) STRICT, WITHOUT ROWID;
INSERT INTO "project_charts" VALUES(1,1,137);
INSERT INTO "project_charts" VALUES(2,1,138);
INSERT INTO "project_charts" VALUES(3,1,139);
CREATE TABLE projects (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE CHECK (name <> ''),
    state TEXT NOT NULL DEFAULT 'planned' CHECK (state IN
        ('planned', 'kitted', 'in work', 'finished', 'given up')),
    copies INTEGER NOT NULL DEFAULT 1 CHECK (copies > 0),
    fabric_count REAL CHECK (fabric_count > 0),
    fabric_count_down REAL CHECK (fabric_count_down > 0),
    fabric_over INTEGER NOT NULL DEFAULT 1 CHECK (fabric_over > 0),
    fabric_colour TEXT NOT NULL DEFAULT '',
    fabric_hex TEXT,
    margin_mm INTEGER,
    strands INTEGER CHECK (strands > 0),
    palette TEXT NOT NULL DEFAULT '',
    key_file TEXT NOT NULL DEFAULT '',
    place TEXT NOT NULL DEFAULT '',
    wished_start TEXT NOT NULL DEFAULT '',
    deadline TEXT NOT NULL DEFAULT '',
    note TEXT NOT NULL DEFAULT ''
) STRICT;
INSERT INTO "projects" VALUES(1,'Band sampler','in work',1,28.0,NULL,2,'ivory',NULL,75,NULL,'meadowline','','linen bag 1','','','');
INSERT INTO "projects" VALUES(2,'Frost stars','planned',25,14.0,NULL,1,'snow',NULL,20,NULL,'meadowline','','tin box','','2026-12-06','');
INSERT INTO "projects" VALUES(3,'Evening hills','planned',1,28.0,NULL,2,'ivory',NULL,75,NULL,'meadowline','','linen bag 2','','2027-05-01','');
INSERT INTO "projects" VALUES(4,'Wren','kitted',1,NULL,NULL,1,'',NULL,NULL,NULL,'','','','','','');
CREATE TABLE settings (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
INSERT INTO "settings" VALUES('rule.keep_back','1');
CREATE TABLE stock (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL CHECK (kind IN ('skein', 'part', 'piece', 'notion', 'chart')),
    thread INTEGER REFERENCES threads,
    dye_lot TEXT NOT NULL DEFAULT '',
    CHECK ((kind IN ('skein', 'part')) = (thread IS NOT NULL))
) STRICT;
INSERT INTO "stock" VALUES(1,'skein',1,'');
INSERT INTO "stock" VALUES(2,'part',1,'');
INSERT INTO "stock" VALUES(3,'skein',2,'');
INSERT INTO "stock" VALUES(4,'part',3,'');
INSERT INTO "stock" VALUES(5,'skein',4,'');
INSERT INTO "stock" VALUES(6,'skein',5,'');
INSERT INTO "stock" VALUES(7,'skein',6,'');
INSERT INTO "stock" VALUES(8,'part',6,'');
INSERT INTO "stock" VALUES(9,'skein',7,'');
INSERT INTO "stock" VALUES(10,'part',7,'');
INSERT INTO "stock" VALUES(11,'part',8,'');
INSERT INTO "stock" VALUES(12,'skein',9,'');
INSERT INTO "stock" VALUES(13,'skein',10,'');
INSERT INTO "stock" VALUES(14,'skein',11,'');
INSERT INTO "stock" VALUES(15,'part',12,'');
INSERT INTO "stock" VALUES(16,'skein',13,'');
INSERT INTO "stock" VALUES(17,'part',13,'');
INSERT INTO "stock" VALUES(18,'skein',14,'');
INSERT INTO "stock" VALUES(19,'part',15,'');
INSERT INTO "stock" VALUES(20,'skein',16,'');
INSERT INTO "stock" VALUES(21,'part',17,'');
INSERT INTO "stock" VALUES(22,'skein',18,'');
INSERT INTO "stock" VALUES(23,'skein',19,'');
INSERT INTO "stock" VALUES(24,'skein',20,'');
INSERT INTO "stock" VALUES(25,'part',21,'');
INSERT INTO "stock" VALUES(26,'skein',22,'');
INSERT INTO "stock" VALUES(27,'part',22,'');
INSERT INTO "stock" VALUES(28,'skein',23,'');
INSERT INTO "stock" VALUES(29,'part',23,'');
INSERT INTO "stock" VALUES(30,'part',24,'');
INSERT INTO "stock" VALUES(31,'skein',25,'');
INSERT INTO "stock" VALUES(32,'skein',26,'');
INSERT INTO "stock" VALUES(33,'part',27,'');
INSERT INTO "stock" VALUES(34,'skein',28,'');
INSERT INTO "stock" VALUES(35,'part',28,'');
INSERT INTO "stock" VALUES(36,'part',29,'');
INSERT INTO "stock" VALUES(37,'skein',30,'');
INSERT INTO "stock" VALUES(38,'skein',31,'');
INSERT INTO "stock" VALUES(39,'part',31,'');
INSERT INTO "stock" VALUES(40,'skein',32,'');
INSERT INTO "stock" VALUES(41,'part',32,'');
INSERT INTO "stock" VALUES(42,'skein',33,'');
INSERT INTO "stock" VALUES(43,'part',33,'');
INSERT INTO "stock" VALUES(44,'skein',34,'');
INSERT INTO "stock" VALUES(45,'part',34,'');
INSERT INTO "stock" VALUES(46,'skein',35,'');
INSERT INTO "stock" VALUES(47,'part',35,'');
INSERT INTO "stock" VALUES(48,'skein',36,'');
INSERT INTO "stock" VALUES(49,'skein',37,'');
INSERT INTO "stock" VALUES(50,'skein',38,'');
INSERT INTO "stock" VALUES(51,'part',38,'');
INSERT INTO "stock" VALUES(52,'skein',39,'');
INSERT INTO "stock" VALUES(53,'part',39,'');
INSERT INTO "stock" VALUES(54,'skein',40,'');
INSERT INTO "stock" VALUES(55,'part',40,'');
INSERT INTO "stock" VALUES(56,'skein',41,'');
INSERT INTO "stock" VALUES(57,'skein',42,'');
INSERT INTO "stock" VALUES(58,'skein',43,'');
INSERT INTO "stock" VALUES(59,'part',43,'');
INSERT INTO "stock" VALUES(60,'skein',44,'');
INSERT INTO "stock" VALUES(61,'skein',45,'');
INSERT INTO "stock" VALUES(62,'skein',46,'');
INSERT INTO "stock" VALUES(63,'part',46,'');
INSERT INTO "stock" VALUES(64,'skein',47,'');
INSERT INTO "stock" VALUES(65,'skein',48,'');
INSERT INTO "stock" VALUES(66,'skein',49,'');
INSERT INTO "stock" VALUES(67,'skein',50,'');
INSERT INTO "stock" VALUES(68,'part',51,'');
INSERT INTO "stock" VALUES(69,'skein',52,'');
INSERT INTO "stock" VALUES(70,'part',52,'');
INSERT INTO "stock" VALUES(71,'skein',53,'');
INSERT INTO "stock" VALUES(72,'part',54,'');
INSERT INTO "stock" VALUES(73,'skein',55,'');
INSERT INTO "stock" VALUES(74,'skein',56,'');
INSERT INTO "stock" VALUES(75,'skein',57,'');
INSERT INTO "stock" VALUES(76,'skein',58,'');
INSERT INTO "stock" VALUES(77,'skein',59,'');
INSERT INTO "stock" VALUES(78,'part',59,'');
INSERT INTO "stock" VALUES(79,'skein',60,'');
INSERT INTO "stock" VALUES(80,'skein',61,'');
INSERT INTO "stock" VALUES(81,'part',61,'');
INSERT INTO "stock" VALUES(82,'skein',62,'');
INSERT INTO "stock" VALUES(83,'skein',63,'');
INSERT INTO "stock" VALUES(84,'skein',64,'');
INSERT INTO "stock" VALUES(85,'skein',65,'');
INSERT INTO "stock" VALUES(86,'skein',66,'');
INSERT INTO "stock" VALUES(87,'skein',67,'');
INSERT INTO "stock" VALUES(88,'skein',68,'');
INSERT INTO "stock" VALUES(89,'skein',69,'');
INSERT INTO "stock" VALUES(90,'part',69,'');
INSERT INTO "stock" VALUES(91,'skein',70,'');
INSERT INTO "stock" VALUES(92,'part',70,'');
INSERT INTO "stock" VALUES(93,'skein',71,'');
INSERT INTO "stock" VALUES(94,'part',71,'');
INSERT INTO "stock" VALUES(95,'skein',72,'');
INSERT INTO "stock" VALUES(96,'part',72,'');
INSERT INTO "stock" VALUES(97,'skein',73,'');
INSERT INTO "stock" VALUES(98,'part',73,'');
INSERT INTO "stock" VALUES(99,'skein',74,'');
INSERT INTO "stock" VALUES(100,'part',74,'');
INSERT INTO "stock" VALUES(101,'skein',75,'');
INSERT INTO "stock" VALUES(102,'part',75,'');
INSERT INTO "stock" VALUES(103,'skein',76,'');
INSERT INTO "stock" VALUES(104,'part',77,'');
INSERT INTO "stock" VALUES(105,'skein',78,'');
INSERT INTO "stock" VALUES(106,'part',79,'');
INSERT INTO "stock" VALUES(107,'skein',80,'');
INSERT INTO "stock" VALUES(108,'part',80,'');
INSERT INTO "stock" VALUES(109,'skein',81,'');
INSERT INTO "stock" VALUES(110,'skein',82,'');
INSERT INTO "stock" VALUES(111,'skein',83,'');
INSERT INTO "stock" VALUES(112,'part',83,'');
INSERT INTO "stock" VALUES(113,'skein',84,'');
INSERT INTO "stock" VALUES(114,'skein',85,'');
INSERT INTO "stock" VALUES(115,'part',85,'');
INSERT INTO "stock" VALUES(116,'skein',86,'');
INSERT INTO "stock" VALUES(117,'skein',87,'');
INSERT INTO "stock" VALUES(118,'skein',88,'');
INSERT INTO "stock" VALUES(119,'skein',89,'');
INSERT INTO "stock" VALUES(120,'skein',90,'');
INSERT INTO "stock" VALUES(121,'skein',91,'');
INSERT INTO "stock" VALUES(122,'part',91,'');
INSERT INTO "stock" VALUES(123,'skein',92,'');
INSERT INTO "stock" VALUES(124,'skein',93,'');
INSERT INTO "stock" VALUES(125,'part',93,'');
INSERT INTO "stock" VALUES(126,'part',94,'');
INSERT INTO "stock" VALUES(127,'part',95,'');
INSERT INTO "stock" VALUES(128,'skein',96,'');
INSERT INTO "stock" VALUES(129,'piece',NULL,'');
INSERT INTO "stock" VALUES(130,'piece',NULL,'');
INSERT INTO "stock" VALUES(131,'piece',NULL,'');
INSERT INTO "stock" VALUES(132,'piece',NULL,'');
INSERT INTO "stock" VALUES(133,'piece',NULL,'');
INSERT INTO "stock" VALUES(134,'notion',NULL,'');
INSERT INTO "stock" VALUES(135,'notion',NULL,'');
INSERT INTO "stock" VALUES(136,'notion',NULL,'');
INSERT INTO "stock" VALUES(137,'chart',NULL,'');
INSERT INTO "stock" VALUES(138,'chart',NULL,'');
INSERT INTO "stock" VALUES(139,'chart',NULL,'');
INSERT INTO "stock" VALUES(140,'part',25,'');
INSERT INTO "stock" VALUES(141,'part',25,'');
INSERT INTO "stock" VALUES(142,'skein',110,'');
INSERT INTO "stock" VALUES(143,'part',1,'7');
INSERT INTO "stock" VALUES(144,'notion',NULL,'');
INSERT INTO "stock" VALUES(145,'part',69,'');
INSERT INTO "stock" VALUES(146,'part',69,'');
INSERT INTO "stock" VALUES(147,'part',7,'');
INSERT INTO "stock" VALUES(148,'part',7,'');
CREATE TABLE thread_needs (
    id INTEGER PRIMARY KEY,
    project INTEGER NOT NULL REFERENCES projects,
    source TEXT NOT NULL CHECK (source IN ('chart', 'hand')),
    thread INTEGER NOT NULL REFERENCES threads,
    called INTEGER NOT NULL REFERENCES threads,
    class_index INTEGER,
    stitches INTEGER NOT NULL DEFAULT 0,
    strands TEXT NOT NULL DEFAULT '1' CHECK (strands <> ''),
    factor REAL NOT NULL DEFAULT 1 CHECK (factor > 0),
    low_mm INTEGER NOT NULL DEFAULT 0,
    likely_mm INTEGER NOT NULL DEFAULT 0,
    high_mm INTEGER NOT NULL DEFAULT 0,
    skeins INTEGER NOT NULL CHECK (skeins >= 0),
    putup_length_mm INTEGER NOT NULL CHECK (putup_length_mm >= 0),
    note TEXT NOT NULL DEFAULT ''
) STRICT;
INSERT INTO "thread_needs" VALUES(1,2,'chart',7,7,1,4700,'2',1.0,106359,116596,126832,3,21139,'');
INSERT INTO "thread_needs" VALUES(2,2,'chart',46,46,2,2725,'2',1.0,62679,68663,74647,2,12442,'');
INSERT INTO "thread_needs" VALUES(3,2,'chart',69,69,3,2400,'2',1.0,56681,62085,67488,2,11248,'');
INSERT INTO "thread_needs" VALUES(4,3,'chart',1,1,1,417,'2',1.0,9329,10241,11153,1,1859,'');
INSERT INTO "thread_needs" VALUES(5,3,'chart',3,3,2,272,'2',1.0,6154,6757,7360,1,1227,'');
INSERT INTO "thread_needs" VALUES(6,3,'chart',7,7,3,328,'2',1.0,7159,7867,8574,1,1429,'');
INSERT INTO "thread_needs" VALUES(7,3,'chart',97,97,4,352,'2',1.0,7753,8518,9282,1,1547,'');
INSERT INTO "thread_needs" VALUES(8,3,'chart',14,14,5,358,'2',1.0,7851,8625,9400,1,1567,'');
INSERT INTO "thread_needs" VALUES(9,3,'chart',19,19,6,368,'2',1.0,8014,8805,9596,1,1600,'');
INSERT INTO "thread_needs" VALUES(10,3,'chart',23,23,7,368,'2',1.0,8014,8805,9596,1,1600,'');
INSERT INTO "thread_needs" VALUES(11,3,'chart',25,25,8,361,'2',1.0,7900,8679,9459,1,1577,'');
INSERT INTO "thread_needs" VALUES(12,3,'chart',98,98,9,353,'2',1.0,7769,8536,9302,1,1551,'');
INSERT INTO "thread_needs" VALUES(13,3,'chart',99,99,10,362,'2',1.0,7916,8697,9478,1,1580,'');
INSERT INTO "thread_needs" VALUES(14,3,'chart',100,100,11,352,'2',1.0,7753,8518,9282,1,1547,'');
INSERT INTO "thread_needs" VALUES(15,3,'chart',101,101,12,350,'2',1.0,7720,8482,9243,1,1541,'');
INSERT INTO "thread_needs" VALUES(16,3,'chart',44,44,13,345,'2',1.0,7639,8392,9145,1,1525,'');
INSERT INTO "thread_needs" VALUES(17,3,'chart',46,46,14,351,'2',1.0,7737,8500,9263,1,1544,'');
INSERT INTO "thread_needs" VALUES(18,3,'chart',102,102,15,352,'2',1.0,7753,8518,9282,1,1547,'');
INSERT INTO "thread_needs" VALUES(19,3,'chart',54,54,16,352,'2',1.0,7753,8518,9282,1,1547,'');
INSERT INTO "thread_needs" VALUES(20,3,'chart',103,103,17,365,'2',1.0,7965,8751,9537,1,1590,'');
INSERT INTO "thread_needs" VALUES(21,3,'chart',60,60,18,363,'2',1.0,7932,8715,9498,1,1583,'');
INSERT INTO "thread_needs" VALUES(22,3,'chart',104,104,19,362,'2',1.0,7916,8697,9478,1,1580,'');
INSERT INTO "thread_needs" VALUES(23,3,'chart',105,105,20,367,'2',1.0,7997,8787,9577,1,1597,'');
INSERT INTO "thread_needs" VALUES(24,3,'chart',106,106,21,375,'2',1.0,8128,8931,9734,1,1623,'');
INSERT INTO "thread_needs" VALUES(25,3,'chart',69,69,22,358,'2',1.0,7851,8625,9400,1,1567,'');
INSERT INTO "thread_needs" VALUES(26,3,'chart',107,107,23,370,'2',1.0,8046,8841,9635,1,1606,'');
INSERT INTO "thread_needs" VALUES(27,3,'chart',73,73,24,371,'2',1.0,8063,8859,9655,1,1610,'');
INSERT INTO "thread_needs" VALUES(28,3,'chart',77,77,25,367,'2',1.0,7997,8787,9577,1,1597,'');
INSERT INTO "thread_needs" VALUES(29,3,'chart',80,80,26,363,'2',1.0,7932,8715,9498,1,1583,'');
INSERT INTO "thread_needs" VALUES(30,3,'chart',108,108,27,360,'2',1.0,7883,8661,9439,1,1574,'');
INSERT INTO "thread_needs" VALUES(31,3,'chart',86,86,28,319,'2',1.0,7014,7707,8399,1,1400,'');
INSERT INTO "thread_needs" VALUES(32,3,'chart',89,89,29,240,'2',1.0,5542,6080,6619,1,1104,'');
INSERT INTO "thread_needs" VALUES(33,3,'chart',109,109,30,360,'2',1.0,7995,8778,9560,1,1594,'');
INSERT INTO "thread_needs" VALUES(34,1,'chart',25,25,1,2506,'2',1.0,55407,60829,66251,2,11042,'');
INSERT INTO "thread_needs" VALUES(35,4,'hand',1,1,NULL,0,'1',1.0,0,0,0,1,8000,'');
CREATE TABLE threads (
    id INTEGER PRIMARY KEY,
    line TEXT NOT NULL DEFAULT '',
    code TEXT NOT NULL CHECK (code <> ''),
    name TEXT NOT NULL DEFAULT '',
    putup_mm INTEGER CHECK (putup_mm > 0),
    strands INTEGER CHECK (strands > 0),
    hex TEXT, lab_l REAL, lab_a REAL, lab_b REAL, price INTEGER CHECK (price >= 0), discontinued INTEGER NOT NULL DEFAULT 0
    CHECK (discontinued IN (0, 1)),
    UNIQUE (line, code)
) STRICT;
INSERT INTO "threads" VALUES(1,'Meadowline','ROS1','Rosehip 1',8000,6,'#eddfe2',8.99852789223397877584e+01,5.28151209648319852618e+00,2.5483412558506834955e-01,120,0);
INSERT INTO "threads" VALUES(2,'Meadowline','ROS4','Rosehip 4',8000,6,'#e05187',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(3,'Meadowline','ASH2','Ash rose 2',8000,6,'#b48c98',6.22770750751940909122e+01,1.70730600402126384551e+01,-5.18506388848027910398e-01,120,0);
INSERT INTO "threads" VALUES(4,'Meadowline','ASH3','Ash rose 3',8000,6,'#87616e',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(5,'Meadowline','HAW3','Hawberry 3',8000,6,'#f28792',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(6,'Meadowline','KIL4','Kiln 4',8000,6,'#aa5b5a',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(7,'Meadowline','KIL5','Kiln 5',8000,6,'#813e3e',3.4925888234572042279e+01,2.88340403978330783729e+01,1.35324456802861430308e+01,120,0);
INSERT INTO "threads" VALUES(8,'Meadowline','WOR2','Worn tile 2',8000,6,'#b58d90',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(9,'Meadowline','WOR3','Worn tile 3',8000,6,'#876265',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(10,'Meadowline','EMB1','Ember 1',8000,6,'#eddfdd',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(11,'Meadowline','CLA2','Clay pot 2',8000,6,'#d6aca4',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(12,'Meadowline','CLA6','Clay pot 6',8000,6,'#54271e',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(13,'Meadowline','ROW5','Rowan 5',8000,6,'#c54019',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(14,'Meadowline','ROW7','Rowan 7',8000,6,'#682310',2.42688119521422507318e+01,2.98867801634402354684e+01,2.81065962890728542333e+01,120,0);
INSERT INTO "threads" VALUES(15,'Meadowline','FOX4','Fox 4',8000,6,'#a65f3e',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(16,'Meadowline','FOX6','Fox 6',8000,6,'#522e1d',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(17,'Meadowline','OTT1','Otter 1',8000,6,'#dac3bd',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(18,'Meadowline','OTT3','Otter 3',8000,6,'#88645b',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(19,'Meadowline','MAR5','Marigold 5',8000,6,'#ad5212',4.55863681447689259593e+01,3.37204884150130723696e+01,5.01972886083381624171e+01,120,0);
INSERT INTO "threads" VALUES(20,'Meadowline','BRA3','Bracken 3',8000,6,'#bf8451',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(21,'Meadowline','BRA4','Bracken 4',8000,6,'#95653c',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(22,'Meadowline','HAZ2','Hazel 2',8000,6,'#b59583',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(23,'Meadowline','APR1','Apricot 1',8000,6,'#f3e8df',92.6174216934584,2.20015729887046429524e+00,5.70251675111610456525e+00,120,0);
INSERT INTO "threads" VALUES(24,'Meadowline','APR3','Apricot 3',8000,6,'#e9a75c',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(25,'Meadowline','STR6','Straw 6',8000,6,'#43321c',2.21548614467449382918e+01,4.46102326602493270968e+00,1.68774783281809952488e+01,120,0);
INSERT INTO "threads" VALUES(26,'Meadowline','BUT1','Buttercup 1',8000,6,'#f4e9da',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(27,'Meadowline','HON6','Honey 6',8000,6,'#3e341b',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(28,'Meadowline','BAR1','Barley 1',8000,6,'#d5c3ab',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(29,'Meadowline','PRI1','Primrose 1',8000,6,'#f1ebd8',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(30,'Meadowline','PRI2','Primrose 2',8000,6,'#dece9b',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(31,'Meadowline','THA4','Thatch 4',8000,6,'#787141',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(32,'Meadowline','REE1','Reed 1',8000,6,'#cfc6ab',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(33,'Meadowline','REE2','Reed 2',8000,6,'#9d947a',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(34,'Meadowline','REE3','Reed 3',8000,6,'#766b53',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(35,'Meadowline','LEM3','Lemon peel 3',8000,6,'#bbba58',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(36,'Meadowline','LEM6','Lemon peel 6',8000,6,'#707018',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(37,'Meadowline','LIC3','Lichen 3',8000,6,'#939551',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(38,'Meadowline','NEW2','New leaf 2',8000,6,'#c8d2a7',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(39,'Meadowline','NEW3','New leaf 3',8000,6,'#a6bc61',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(40,'Meadowline','NEW6','New leaf 6',8000,6,'#5e741a',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(41,'Meadowline','OLI3','Olive 3',8000,6,'#839b5b',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(42,'Meadowline','OLI4','Olive 4',8000,6,'#637847',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(43,'Meadowline','GRA3','Grasshopper 3',8000,6,'#83b16b',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(44,'Meadowline','GRA4','Grasshopper 4',8000,6,'#5b9733',5.66794341161030104095e+01,-3.73215926363600871687e+01,4.50495718173958721326e+01,120,0);
INSERT INTO "threads" VALUES(45,'Meadowline','GRA6','Grasshopper 6',8000,6,'#2b5e1c',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(46,'Meadowline','NET4','Nettle 4',8000,6,'#3d4734',2.87636354598662080661e+01,-8.16495281686791,10.1196936148763,120,0);
INSERT INTO "threads" VALUES(47,'Meadowline','PAR2','Parsley 2',8000,6,'#adcaad',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(48,'Meadowline','PAR6','Parsley 6',8000,6,'#195e2b',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(49,'Meadowline','FER3','Fern 3',8000,6,'#6b9d77',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(50,'Meadowline','FER4','Fern 4',8000,6,'#467b55',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(51,'Meadowline','FER5','Fern 5',8000,6,'#30593b',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(52,'Meadowline','WIL4','Willow 4',8000,6,'#384535',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(53,'Meadowline','MAL5','Mallard 5',8000,6,'#1f7f59',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(54,'Meadowline','YEW3','Yew 3',8000,6,'#629d84',6.02263470709129649077e+01,-2.50622931363772565309e+01,7.05855996886233238996e+00,120,0);
INSERT INTO "threads" VALUES(55,'Meadowline','DRA1','Dragonfly 1',8000,6,'#d4e7e2',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(56,'Meadowline','DRA3','Dragonfly 3',8000,6,'#5cb59f',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(57,'Meadowline','POO2','Pool 2',8000,6,'#95bcb5',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(58,'Meadowline','POO5','Pool 5',8000,6,'#385a55',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(59,'Meadowline','PEB2','Pebble 2',8000,6,'#85a199',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(60,'Meadowline','TEA2','Teal wing 2',8000,6,'#9bcecf',7.93936817958313412191e+01,-1.62213039152196429886e+01,-5.87743211983504654227e+00,120,0);
INSERT INTO "threads" VALUES(61,'Meadowline','TEA6','Teal wing 6',8000,6,'#195859',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(62,'Meadowline','MIL6','Millpond 6',8000,6,'#26393f',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(63,'Meadowline','RAI1','Rain 1',8000,6,'#b2c9cd',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(64,'Meadowline','BRO1','Brook 1',8000,6,'#d8e5ee',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(65,'Meadowline','BRO2','Brook 2',8000,6,'#9ec9e4',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(66,'Meadowline','BRO5','Brook 5',8000,6,'#1e749a',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(67,'Meadowline','HER1','Heron 1',8000,6,'#cfdce6',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(68,'Meadowline','COR4','Cornfield blue 4',8000,6,'#2c92d4',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(69,'Meadowline','DUS4','Dusk 4',8000,6,'#5a7395',4.77573569155717336798e+01,-6.89411136219897358046e-02,-2.13615323921765742909e+01,120,0);
INSERT INTO "threads" VALUES(70,'Meadowline','SLO4','Sloe 4',8000,6,'#686e9d',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(71,'Meadowline','STO3','Storm 3',8000,6,'#626a82',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(72,'Meadowline','IRI1','Iris 1',8000,6,'#e5e0ed',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(73,'Meadowline','IRI3','Iris 3',8000,6,'#b19ae2',6.79828416441438463388e+01,2.30590079085212238405e+01,-3.33638869324726314866e+01,120,0);
INSERT INTO "threads" VALUES(74,'Meadowline','IRI7','Iris 7',8000,6,'#3e3461',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(75,'Meadowline','BIL2','Bilberry 2',8000,6,'#b9afcd',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(76,'Meadowline','BIL3','Bilberry 3',8000,6,'#9b88b5',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(77,'Meadowline','THI2','Thistle 2',8000,6,'#9b96b0',6.32730716252870450944e+01,7.07411840536681424396e+00,-1.28729174385878053499e+01,120,0);
INSERT INTO "threads" VALUES(78,'Meadowline','DAM6','Damson 6',8000,6,'#442d44',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(79,'Meadowline','HEA1','Heather 1',8000,6,'#cdc1d2',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(80,'Meadowline','HEA2','Heather 2',8000,6,'#a795ae',63.9714798853374,11.3482901256996,-1.05945135845278990414e+01,120,0);
INSERT INTO "threads" VALUES(81,'Meadowline','HEA3','Heather 3',8000,6,'#76667d',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(82,'Meadowline','MUL4','Mulberry 4',8000,6,'#965a80',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(83,'Meadowline','MUL6','Mulberry 6',8000,6,'#4c293c',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(84,'Meadowline','CAM6','Campion 6',8000,6,'#952160',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(85,'Meadowline','BEE3','Beetroot 3',8000,6,'#c57e9b',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(86,'Meadowline','BEE4','Beetroot 4',8000,6,'#9b5c74',4.68234691188904932328e+01,2.90489784875291867649e+01,-2.46631245946544730429e+00,120,0);
INSERT INTO "threads" VALUES(87,'Meadowline','BEE6','Beetroot 6',8000,6,'#4f2837',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(88,'Meadowline','MAO2','Mallow 2',8000,6,'#b390a1',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(89,'Meadowline','CHA8','Chalk 8',8000,6,'#353433',2.17697313580729243662e+01,2.09329259552082369566e-01,7.87335509188413773529e-01,120,0);
INSERT INTO "threads" VALUES(90,'Meadowline','FLE4','Fleece 4',8000,6,'#978f88',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(91,'Meadowline','FLE7','Fleece 7',8000,6,'#48413b',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(92,'Meadowline','PEW1','Pewter 1',8000,6,'#e3e9ef',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(93,'Meadowline','WAL1','Walnut 1',8000,6,'#f3e1d7',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(94,'Meadowline','WAL4','Walnut 4',8000,6,'#9e8b83',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(95,'Meadowline','WAL5','Walnut 5',8000,6,'#827168',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(96,'Meadowline','WAL6','Walnut 6',8000,6,'#67574e',NULL,NULL,NULL,120,0);
INSERT INTO "threads" VALUES(97,'Meadowline','CLA1','Clay pot 1',8000,6,'#e7d6d3',86.8918828832698,5.3459543920308938425e+00,3.59531141651412422532e+00,120,0);
INSERT INTO "threads" VALUES(98,'Meadowline','HON2','Honey 2',8000,6,'#c9b280',7.34276115785160214937e+01,1.0460253917702888593e+00,2.86166016420723359195e+01,120,0);
INSERT INTO "threads" VALUES(99,'Meadowline','PRI6','Primrose 6',8000,6,'#796917',4.45620186941458413815e+01,-2.82126196309856469568e+00,4.49128494600517882409e+01,120,0);
INSERT INTO "threads" VALUES(100,'Meadowline','LEM4','Lemon peel 4',8000,6,'#9f9e21',6.32895397148522533816e+01,-1.38929378741882718632e+01,5.9800121675419660506e+01,120,0);
INSERT INTO "threads" VALUES(101,'Meadowline','NEW4','New leaf 4',8000,6,'#7fa61c',6.32338427970907304134e+01,-3.17711322798897022323e+01,6.02544440994928436321e+01,120,0);
INSERT INTO "threads" VALUES(102,'Meadowline','WIL1','Willow 1',8000,6,'#bbc8b9',7.92572657752521649845e+01,-7.22690953057325558006e+00,5.98022445052650564178e+00,120,0);
INSERT INTO "threads" VALUES(103,'Meadowline','DRA6','Dragonfly 6',8000,6,'#1a5c51',3.49378877722310221543e+01,-2.34198341003078454032e+01,3.3530433068770237881e-01,120,0);
INSERT INTO "threads" VALUES(104,'Meadowline','WEI5','Weir 5',8000,6,'#1e7789',4.60077497446989127629e+01,-1.89376211551003095223e+01,-1.71613436100918939075e+01,120,0);
INSERT INTO "threads" VALUES(105,'Meadowline','RAI4','Rain 4',8000,6,'#364345',2.73749890454046251875e+01,-4.71928742544175428008e+00,-2.95875965239291716102e+00,120,0);
INSERT INTO "threads" VALUES(106,'Meadowline','FLI1','Flint 1',8000,6,'#bbccd7',8.11020465646376464974e+01,-3.53903162701174611726e+00,-7.41203473692926273486e+00,120,0);
INSERT INTO "threads" VALUES(107,'Meadowline','HAR7','Harebell 7',8000,6,'#223562',2.2888177926931618344e+01,8.25205154494418380295e+00,-2.90035739321342731509e+01,120,0);
INSERT INTO "threads" VALUES(108,'Meadowline','MUL5','Mulberry 5',8000,6,'#733e5e',33.7714730198709,2.77426906623027562663e+01,-8.84002859277599384313e+00,120,0);
INSERT INTO "threads" VALUES(109,'Meadowline','PEW4','Pewter 4',8000,6,'#898f95',59.0971932572555,-9.51685427172888065427e-01,-3.93041167886529763109e+00,120,0);
INSERT INTO "threads" VALUES(110,'','ros1','',NULL,NULL,NULL,NULL,NULL,NULL,NULL,0);
CREATE UNIQUE INDEX stock_skeins ON stock (thread, dye_lot) WHERE kind = 'skein';
CREATE INDEX stock_thread ON stock (thread, kind);
CREATE INDEX pieces_count ON pieces (count);
CREATE INDEX acts_time ON acts (time);
CREATE INDEX entries_act ON entries (act);
CREATE INDEX entries_stock ON entries (stock);
CREATE INDEX balances_thread ON balances (thread, kind, owned, promised)
    WHERE thread IS NOT NULL;
CREATE TRIGGER stock_begins AFTER INSERT ON stock BEGIN
    INSERT INTO balances (stock, kind, thread) VALUES (NEW.id, NEW.kind, NEW.thread);
END;
CREATE TRIGGER entries_sum AFTER INSERT ON entries BEGIN
    UPDATE balances SET owned = owned + NEW.owned, promised = promised + NEW.promised
    WHERE stock = NEW.stock;
END;
CREATE TRIGGER entries_stay BEFORE UPDATE ON entries BEGIN
    SELECT RAISE(ABORT, 'entries are never changed; reverse them');
END;
CREATE TRIGGER entries_remain BEFORE DELETE ON entries BEGIN
    SELECT RAISE(ABORT, 'entries are never deleted; reverse them');
END;
CREATE TRIGGER acts_stay BEFORE UPDATE ON acts BEGIN
    SELECT RAISE(ABORT, 'acts are never changed; reverse them');
END;
CREATE TRIGGER acts_remain BEFORE DELETE ON acts BEGIN
    SELECT RAISE(ABORT, 'acts are never deleted; reverse them');
END;
CREATE INDEX projects_state ON projects (state);
CREATE INDEX thread_needs_project ON thread_needs
    (project, thread, putup_length_mm);
CREATE INDEX thread_needs_thread ON thread_needs (thread, project, putup_length_mm);
CREATE INDEX demands_project ON demands (project);
CREATE TRIGGER needs_come AFTER INSERT ON thread_needs BEGIN
    DELETE FROM demands WHERE thread = NEW.thread AND project = NEW.project;
    INSERT INTO demands SELECT thread, project, sum(putup_length_mm) FROM thread_needs
    WHERE thread = NEW.thread AND project = NEW.project GROUP BY thread, project;
END;
CREATE TRIGGER needs_go AFTER DELETE ON thread_needs BEGIN
    DELETE FROM demands WHERE thread = OLD.thread AND project = OLD.project;
    INSERT INTO demands SELECT thread, project, sum(putup_length_mm) FROM thread_needs
    WHERE thread = OLD.thread AND project = OLD.project GROUP BY thread, project;
END;
CREATE TRIGGER needs_change AFTER UPDATE ON thread_needs BEGIN
    DELETE FROM demands WHERE thread IN (OLD.thread, NEW.thread) AND project = NEW.project;
    INSERT INTO demands SELECT thread, project, sum(putup_length_mm) FROM thread_needs
    WHERE thread IN (OLD.thread, NEW.thread) AND project = NEW.project GROUP BY thread, project;
END;
CREATE INDEX notion_needs_project ON notion_needs (project);
CREATE INDEX fabric_needs_project ON fabric_needs (project);
CREATE INDEX acts_project ON acts (project) WHERE project IS NOT NULL;
CREATE INDEX holdings_stock ON holdings (stock);
CREATE TRIGGER entries_hold AFTER INSERT ON entries WHEN NEW.promised <> 0 BEGIN
    SELECT RAISE(ABORT, 'a promise names its project')
    WHERE (SELECT project FROM acts WHERE id = NEW.act) IS NULL;
    INSERT INTO holdings (project, stock, amount)
    SELECT project, NEW.stock, 0 FROM acts WHERE id = NEW.act AND NOT EXISTS (
        SELECT 1 FROM holdings WHERE project = acts.project AND stock = NEW.stock);
    UPDATE holdings SET amount = amount + NEW.promised
    WHERE project = (SELECT project FROM acts WHERE id = NEW.act) AND stock = NEW.stock;
    DELETE FROM holdings
    WHERE project = (SELECT project FROM acts WHERE id = NEW.act) AND stock = NEW.stock
      AND amount = 0;
END;
CREATE TRIGGER acts_move_checked BEFORE INSERT ON acts WHEN NEW.to_state IS NOT NULL BEGIN
    SELECT RAISE(ABORT, 'the project has moved on')
    WHERE NOT EXISTS (
        SELECT 1 FROM projects WHERE id = NEW.project AND state = NEW.from_state);
END;
CREATE TRIGGER acts_move AFTER INSERT ON acts WHEN NEW.to_state IS NOT NULL BEGIN
    UPDATE projects SET state = NEW.to_state WHERE id = NEW.project;
END;
COMMIT;
