-- What sqlite3's dump wrote of a ledger of schema 4 that its own commands had filled.
PRAGMA application_id = 1129534257;
PRAGMA user_version = 4;
BEGIN TRANSACTION;
CREATE TABLE acts (
    id INTEGER PRIMARY KEY,
    time TEXT NOT NULL,
    name TEXT NOT NULL,
    note TEXT NOT NULL DEFAULT '',
    reverses INTEGER UNIQUE REFERENCES acts
, project INTEGER REFERENCES projects, from_state TEXT, to_state TEXT) STRICT;
INSERT INTO "acts" VALUES(1,'2026-11-29T11:28:59.787046Z','imported','ex4',NULL,NULL,NULL,NULL);
INSERT INTO "acts" VALUES(2,'2026-11-29T11:29:34.998896Z','kitted','',NULL,1,'planned','kitted');
INSERT INTO "acts" VALUES(3,'2026-11-29T11:29:50.924877Z','started','',NULL,1,'kitted','in work');
INSERT INTO "acts" VALUES(4,'2026-11-29T11:30:46.930551Z','bought','',NULL,NULL,NULL,NULL);
INSERT INTO "acts" VALUES(5,'2026-11-29T11:31:37.611059Z','bought','',NULL,NULL,NULL,NULL);
INSERT INTO "acts" VALUES(6,'2026-11-29T11:31:45.946306Z','renamed','',NULL,NULL,NULL,NULL);
INSERT INTO "acts" VALUES(7,'2026-11-29T11:31:49.176612Z','put away','',NULL,NULL,NULL,NULL);
INSERT INTO "acts" VALUES(8,'2026-11-29T11:31:53.577564Z','merged','',NULL,NULL,NULL,NULL);
INSERT INTO "acts" VALUES(9,'2026-11-29T11:32:11.487420Z','planned','',NULL,4,NULL,NULL);
INSERT INTO "acts" VALUES(10,'2026-11-29T11:32:24.049122Z','needs more','',NULL,4,NULL,NULL);
INSERT INTO "acts" VALUES(11,'2026-11-29T11:32:25.549648Z','kitted','',NULL,4,'planned','kitted');
INSERT INTO "acts" VALUES(12,'2026-11-29T11:32:28.117651Z','started','',NULL,4,'kitted','in work');
INSERT INTO "acts" VALUES(13,'2026-11-29T11:32:29.421424Z','needs more','',NULL,4,NULL,NULL);
INSERT INTO "acts" VALUES(14,'2026-11-29T11:32:31.174869Z','undone','',13,4,NULL,NULL);
INSERT INTO "acts" VALUES(15,'2026-11-29T11:32:32.376507Z','rules changed','',NULL,NULL,NULL,NULL);
INSERT INTO "acts" VALUES(16,'2026-11-29T11:32:33.451980Z','used','',NULL,NULL,NULL,NULL);
INSERT INTO "acts" VALUES(17,'2026-11-29T11:32:41.170607Z','undone','',3,1,'in work','kitted');
INSERT INTO "acts" VALUES(18,'2026-11-29T11:32:42.650820Z','set apart','',NULL,2,NULL,NULL);
INSERT INTO "acts" VALUES(19,'2026-11-29T11:32:46.665039Z','undone','',2,1,'kitted','planned');
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
INSERT INTO "balances" VALUES(1,'skein',1,3,0);
INSERT INTO "balances" VALUES(2,'part',1,1500,0);
INSERT INTO "balances" VALUES(3,'skein',2,1,1);
INSERT INTO "balances" VALUES(4,'part',3,3000,0);
INSERT INTO "balances" VALUES(5,'skein',4,3,0);
INSERT INTO "balances" VALUES(6,'skein',5,4,0);
INSERT INTO "balances" VALUES(7,'skein',6,4,0);
INSERT INTO "balances" VALUES(8,'part',6,5800,0);
INSERT INTO "balances" VALUES(9,'skein',7,2,1);
INSERT INTO "balances" VALUES(10,'part',7,7500,7500);
INSERT INTO "balances" VALUES(11,'part',8,7400,0);
INSERT INTO "balances" VALUES(12,'skein',9,4,0);
INSERT INTO "balances" VALUES(13,'skein',10,4,0);
INSERT INTO "balances" VALUES(14,'skein',11,3,0);
INSERT INTO "balances" VALUES(15,'part',12,6700,0);
INSERT INTO "balances" VALUES(16,'skein',13,1,0);
INSERT INTO "balances" VALUES(17,'part',13,4100,0);
INSERT INTO "balances" VALUES(18,'skein',14,1,0);
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
INSERT INTO "balances" VALUES(31,'skein',25,3,0);
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
INSERT INTO "balances" VALUES(60,'skein',44,4,0);
INSERT INTO "balances" VALUES(61,'skein',45,2,0);
INSERT INTO "balances" VALUES(62,'skein',46,1,0);
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
INSERT INTO "balances" VALUES(79,'skein',60,1,0);
INSERT INTO "balances" VALUES(80,'part',60,6500,0);
INSERT INTO "balances" VALUES(81,'skein',61,3,0);
INSERT INTO "balances" VALUES(82,'skein',62,3,0);
INSERT INTO "balances" VALUES(83,'skein',63,1,0);
INSERT INTO "balances" VALUES(84,'skein',64,1,0);
INSERT INTO "balances" VALUES(85,'skein',65,1,0);
INSERT INTO "balances" VALUES(86,'skein',66,2,0);
INSERT INTO "balances" VALUES(87,'part',67,4000,0);
INSERT INTO "balances" VALUES(88,'skein',68,1,0);
INSERT INTO "balances" VALUES(89,'skein',69,2,0);
INSERT INTO "balances" VALUES(90,'part',69,7000,0);
INSERT INTO "balances" VALUES(91,'skein',70,1,0);
INSERT INTO "balances" VALUES(92,'part',70,7100,0);
INSERT INTO "balances" VALUES(93,'skein',71,2,0);
INSERT INTO "balances" VALUES(94,'part',71,2700,0);
INSERT INTO "balances" VALUES(95,'skein',72,3,0);
INSERT INTO "balances" VALUES(96,'part',72,2200,0);
INSERT INTO "balances" VALUES(97,'skein',73,3,0);
INSERT INTO "balances" VALUES(98,'part',73,6100,0);
INSERT INTO "balances" VALUES(99,'skein',74,1,0);
INSERT INTO "balances" VALUES(100,'part',74,4800,0);
INSERT INTO "balances" VALUES(101,'skein',75,1,0);
INSERT INTO "balances" VALUES(102,'part',76,4500,0);
INSERT INTO "balances" VALUES(103,'skein',77,2,0);
INSERT INTO "balances" VALUES(104,'skein',78,1,0);
INSERT INTO "balances" VALUES(105,'part',79,4200,0);
INSERT INTO "balances" VALUES(106,'skein',80,2,0);
INSERT INTO "balances" VALUES(107,'skein',81,4,0);
INSERT INTO "balances" VALUES(108,'skein',82,2,0);
INSERT INTO "balances" VALUES(109,'part',82,4500,0);
INSERT INTO "balances" VALUES(110,'skein',83,4,0);
INSERT INTO "balances" VALUES(111,'skein',84,4,0);
INSERT INTO "balances" VALUES(112,'part',84,5800,0);
INSERT INTO "balances" VALUES(113,'skein',85,2,0);
INSERT INTO "balances" VALUES(114,'skein',86,1,0);
INSERT INTO "balances" VALUES(115,'skein',87,3,0);
INSERT INTO "balances" VALUES(116,'skein',88,1,0);
INSERT INTO "balances" VALUES(117,'skein',89,1,0);
INSERT INTO "balances" VALUES(118,'skein',90,2,0);
INSERT INTO "balances" VALUES(119,'part',90,2900,0);
INSERT INTO "balances" VALUES(120,'skein',91,1,0);
INSERT INTO "balances" VALUES(121,'skein',92,4,0);
INSERT INTO "balances" VALUES(122,'part',92,1000,0);
INSERT INTO "balances" VALUES(123,'part',93,3200,0);
INSERT INTO "balances" VALUES(124,'part',94,2000,0);
INSERT INTO "balances" VALUES(125,'skein',95,3,0);
INSERT INTO "balances" VALUES(126,'piece',NULL,1,0);
INSERT INTO "balances" VALUES(127,'piece',NULL,1,0);
INSERT INTO "balances" VALUES(128,'piece',NULL,1,1);
INSERT INTO "balances" VALUES(129,'piece',NULL,1,0);
INSERT INTO "balances" VALUES(130,'piece',NULL,1,0);
INSERT INTO "balances" VALUES(131,'notion',NULL,6000,6000);
INSERT INTO "balances" VALUES(132,'notion',NULL,3000,2500);
INSERT INTO "balances" VALUES(133,'notion',NULL,4000,0);
INSERT INTO "balances" VALUES(134,'chart',NULL,1,0);
INSERT INTO "balances" VALUES(135,'chart',NULL,1,1);
INSERT INTO "balances" VALUES(136,'chart',NULL,0,0);
INSERT INTO "balances" VALUES(137,'skein',109,2,0);
INSERT INTO "balances" VALUES(138,'skein',2,3,0);
CREATE TABLE changes (
    id INTEGER PRIMARY KEY,
    act INTEGER NOT NULL REFERENCES acts,
    place TEXT NOT NULL,
    row TEXT NOT NULL,
    before TEXT,
    after TEXT,
    CHECK (before IS NOT NULL OR after IS NOT NULL)
) STRICT;
INSERT INTO "changes" VALUES(1,1,'fabric_prices','count=14.0'||char(31)||'colour=''snow'''||char(31)||'',NULL,'count=14.0'||char(31)||'colour=''snow'''||char(31)||'price_per_m2=2400'||char(31)||'');
INSERT INTO "changes" VALUES(2,1,'fabric_prices','count=28.0'||char(31)||'colour=''ivory'''||char(31)||'',NULL,'count=28.0'||char(31)||'colour=''ivory'''||char(31)||'price_per_m2=5800'||char(31)||'');
INSERT INTO "changes" VALUES(3,1,'project_charts','project=1'||char(31)||'part=1'||char(31)||'',NULL,'project=1'||char(31)||'part=1'||char(31)||'chart=134'||char(31)||'');
INSERT INTO "changes" VALUES(4,1,'project_charts','project=2'||char(31)||'part=1'||char(31)||'',NULL,'project=2'||char(31)||'part=1'||char(31)||'chart=135'||char(31)||'');
INSERT INTO "changes" VALUES(5,1,'project_charts','project=3'||char(31)||'part=1'||char(31)||'',NULL,'project=3'||char(31)||'part=1'||char(31)||'chart=136'||char(31)||'');
INSERT INTO "changes" VALUES(6,1,'notion_needs','id=1'||char(31)||'',NULL,'id=1'||char(31)||'project=2'||char(31)||'notion=131'||char(31)||'amount=10000'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(7,1,'notion_needs','id=2'||char(31)||'',NULL,'id=2'||char(31)||'project=2'||char(31)||'notion=132'||char(31)||'amount=2500'||char(31)||'note=''10 cm each'''||char(31)||'');
INSERT INTO "changes" VALUES(8,1,'threads','id=7'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=3.48140909517784180593e+01'||char(31)||'lab_a=2.86366419367680151708e+01'||char(31)||'lab_b=1.20855914508481649956e+01'||char(31)||'');
INSERT INTO "changes" VALUES(9,1,'thread_needs','id=1'||char(31)||'',NULL,'id=1'||char(31)||'project=2'||char(31)||'source=''chart'''||char(31)||'thread=7'||char(31)||'called=7'||char(31)||'class_index=1'||char(31)||'stitches=4700'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=107767'||char(31)||'likely_mm=117350'||char(31)||'high_mm=129858'||char(31)||'skeins=3'||char(31)||'putup_length_mm=21643'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(10,1,'threads','id=46'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=2.75339279876655353964e+01'||char(31)||'lab_a=-7.77487981919253190454e+00'||char(31)||'lab_b=1.03245946413738849396e+01'||char(31)||'');
INSERT INTO "changes" VALUES(11,1,'thread_needs','id=2'||char(31)||'',NULL,'id=2'||char(31)||'project=2'||char(31)||'source=''chart'''||char(31)||'thread=46'||char(31)||'called=46'||char(31)||'class_index=2'||char(31)||'stitches=2725'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=62906'||char(31)||'likely_mm=68663'||char(31)||'high_mm=75900'||char(31)||'skeins=2'||char(31)||'putup_length_mm=12650'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(12,1,'thread_needs','id=3'||char(31)||'',NULL,'id=3'||char(31)||'project=2'||char(31)||'source=''chart'''||char(31)||'thread=96'||char(31)||'called=96'||char(31)||'class_index=3'||char(31)||'stitches=2400'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=59904'||char(31)||'likely_mm=65249'||char(31)||'high_mm=72259'||char(31)||'skeins=2'||char(31)||'putup_length_mm=12044'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(13,1,'fabric_needs','id=1'||char(31)||'',NULL,'id=1'||char(31)||'project=2'||char(31)||'source=''chart'''||char(31)||'count=14.0'||char(31)||'colour=''snow'''||char(31)||'width_mm=100'||char(31)||'height_mm=100'||char(31)||'pieces=25'||char(31)||'');
INSERT INTO "changes" VALUES(14,1,'threads','id=1'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=8.93594175195776756464e+01'||char(31)||'lab_a=5.63319569641795858672e+00'||char(31)||'lab_b=3.82187478068618524673e-01'||char(31)||'');
INSERT INTO "changes" VALUES(15,1,'thread_needs','id=4'||char(31)||'',NULL,'id=4'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=1'||char(31)||'called=1'||char(31)||'class_index=1'||char(31)||'stitches=417'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=9328'||char(31)||'likely_mm=10241'||char(31)||'high_mm=11274'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1879'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(16,1,'threads','id=3'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=6.25533158457042901554e+01'||char(31)||'lab_a=1.66795960370202962503e+01'||char(31)||'lab_b=-6.82412400381937622739e-01'||char(31)||'');
INSERT INTO "changes" VALUES(17,1,'thread_needs','id=5'||char(31)||'',NULL,'id=5'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=3'||char(31)||'called=3'||char(31)||'class_index=2'||char(31)||'stitches=272'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=6156'||char(31)||'likely_mm=6757'||char(31)||'high_mm=7457'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1243'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(18,1,'thread_needs','id=6'||char(31)||'',NULL,'id=6'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=7'||char(31)||'called=7'||char(31)||'class_index=3'||char(31)||'stitches=328'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7262'||char(31)||'likely_mm=7867'||char(31)||'high_mm=8760'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1460'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(19,1,'thread_needs','id=7'||char(31)||'',NULL,'id=7'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=97'||char(31)||'called=97'||char(31)||'class_index=4'||char(31)||'stitches=352'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7771'||char(31)||'likely_mm=8518'||char(31)||'high_mm=9388'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1565'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(20,1,'threads','id=14'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=8.55123390641187484072e+01'||char(31)||'lab_a=5.25211169680994682806e+00'||char(31)||'lab_b=6.34417871082204598565e+00'||char(31)||'');
INSERT INTO "changes" VALUES(21,1,'thread_needs','id=8'||char(31)||'',NULL,'id=8'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=14'||char(31)||'called=14'||char(31)||'class_index=5'||char(31)||'stitches=358'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7900'||char(31)||'likely_mm=8625'||char(31)||'high_mm=9556'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1593'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(22,1,'threads','id=19'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=4.5912960692934710492e+01'||char(31)||'lab_a=3.1332476943855379404e+01'||char(31)||'lab_b=4.9985855161989377394e+01'||char(31)||'');
INSERT INTO "changes" VALUES(23,1,'thread_needs','id=9'||char(31)||'',NULL,'id=9'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=19'||char(31)||'called=19'||char(31)||'class_index=6'||char(31)||'stitches=368'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=8121'||char(31)||'likely_mm=8805'||char(31)||'high_mm=9799'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1634'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(24,1,'threads','id=23'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=9.2737544934127782879e+01'||char(31)||'lab_a=2.43391029596973229587e+00'||char(31)||'lab_b=8.50866786555046772377e+00'||char(31)||'');
INSERT INTO "changes" VALUES(25,1,'thread_needs','id=10'||char(31)||'',NULL,'id=10'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=23'||char(31)||'called=23'||char(31)||'class_index=7'||char(31)||'stitches=368'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=8110'||char(31)||'likely_mm=8805'||char(31)||'high_mm=9801'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1634'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(26,1,'threads','id=25'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=2.19622647491363167651e+01'||char(31)||'lab_a=5.52303937088694'||char(31)||'lab_b=1.73027349805752734819e+01'||char(31)||'');
INSERT INTO "changes" VALUES(27,1,'thread_needs','id=11'||char(31)||'',NULL,'id=11'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=25'||char(31)||'called=25'||char(31)||'class_index=8'||char(31)||'stitches=361'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7975'||char(31)||'likely_mm=8679'||char(31)||'high_mm=9620'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1604'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(28,1,'thread_needs','id=12'||char(31)||'',NULL,'id=12'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=98'||char(31)||'called=98'||char(31)||'class_index=9'||char(31)||'stitches=353'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7794'||char(31)||'likely_mm=8536'||char(31)||'high_mm=9407'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1568'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(29,1,'thread_needs','id=13'||char(31)||'',NULL,'id=13'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=99'||char(31)||'called=99'||char(31)||'class_index=10'||char(31)||'stitches=362'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7987'||char(31)||'likely_mm=8697'||char(31)||'high_mm=9655'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1610'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(30,1,'thread_needs','id=14'||char(31)||'',NULL,'id=14'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=100'||char(31)||'called=100'||char(31)||'class_index=11'||char(31)||'stitches=352'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7771'||char(31)||'likely_mm=8518'||char(31)||'high_mm=9394'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1566'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(31,1,'thread_needs','id=15'||char(31)||'',NULL,'id=15'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=101'||char(31)||'called=101'||char(31)||'class_index=12'||char(31)||'stitches=350'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7731'||char(31)||'likely_mm=8482'||char(31)||'high_mm=9327'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1555'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(32,1,'threads','id=44'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=4.4613725560034069419e+01'||char(31)||'lab_a=-3.88708066324145420358e+01'||char(31)||'lab_b=4.4269956238457083943e+01'||char(31)||'');
INSERT INTO "changes" VALUES(33,1,'thread_needs','id=16'||char(31)||'',NULL,'id=16'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=44'||char(31)||'called=44'||char(31)||'class_index=13'||char(31)||'stitches=345'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7613'||char(31)||'likely_mm=8392'||char(31)||'high_mm=9191'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1532'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(34,1,'thread_needs','id=17'||char(31)||'',NULL,'id=17'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=46'||char(31)||'called=46'||char(31)||'class_index=14'||char(31)||'stitches=351'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7749'||char(31)||'likely_mm=8500'||char(31)||'high_mm=9373'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1563'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(35,1,'thread_needs','id=18'||char(31)||'',NULL,'id=18'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=102'||char(31)||'called=102'||char(31)||'class_index=15'||char(31)||'stitches=352'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7760'||char(31)||'likely_mm=8518'||char(31)||'high_mm=9391'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1566'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(36,1,'thread_needs','id=19'||char(31)||'',NULL,'id=19'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=103'||char(31)||'called=103'||char(31)||'class_index=16'||char(31)||'stitches=352'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7769'||char(31)||'likely_mm=8518'||char(31)||'high_mm=9392'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1566'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(37,1,'threads','id=57'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=2.45123812126935618498e+01'||char(31)||'lab_a=-1.99568937523351692675e+01'||char(31)||'lab_b=1.14270573760084648284e+00'||char(31)||'');
INSERT INTO "changes" VALUES(38,1,'thread_needs','id=20'||char(31)||'',NULL,'id=20'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=57'||char(31)||'called=57'||char(31)||'class_index=17'||char(31)||'stitches=365'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=8056'||char(31)||'likely_mm=8751'||char(31)||'high_mm=9713'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1619'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(39,1,'thread_needs','id=21'||char(31)||'',NULL,'id=21'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=104'||char(31)||'called=104'||char(31)||'class_index=18'||char(31)||'stitches=363'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=8002'||char(31)||'likely_mm=8715'||char(31)||'high_mm=9676'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1613'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(40,1,'thread_needs','id=22'||char(31)||'',NULL,'id=22'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=105'||char(31)||'called=105'||char(31)||'class_index=19'||char(31)||'stitches=362'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7979'||char(31)||'likely_mm=8697'||char(31)||'high_mm=9644'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1608'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(41,1,'threads','id=63'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=8.96697695799653615722e+01'||char(31)||'lab_a=-1.96177520324175569399e+00'||char(31)||'lab_b=-5.63868849481501399623e+00'||char(31)||'');
INSERT INTO "changes" VALUES(42,1,'thread_needs','id=23'||char(31)||'',NULL,'id=23'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=63'||char(31)||'called=63'||char(31)||'class_index=20'||char(31)||'stitches=367'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=8099'||char(31)||'likely_mm=8787'||char(31)||'high_mm=9783'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1631'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(43,1,'threads','id=67'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=6.2551617655801578623e+01'||char(31)||'lab_a=-5.55096738784838272806e+00'||char(31)||'lab_b=-1.01997632539942983953e+01'||char(31)||'');
INSERT INTO "changes" VALUES(44,1,'thread_needs','id=24'||char(31)||'',NULL,'id=24'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=67'||char(31)||'called=67'||char(31)||'class_index=21'||char(31)||'stitches=375'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=8274'||char(31)||'likely_mm=8931'||char(31)||'high_mm=9973'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1663'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(45,1,'thread_needs','id=25'||char(31)||'',NULL,'id=25'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=96'||char(31)||'called=96'||char(31)||'class_index=22'||char(31)||'stitches=358'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7901'||char(31)||'likely_mm=8625'||char(31)||'high_mm=9543'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1591'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(46,1,'thread_needs','id=26'||char(31)||'',NULL,'id=26'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=106'||char(31)||'called=106'||char(31)||'class_index=23'||char(31)||'stitches=370'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=8163'||char(31)||'likely_mm=8841'||char(31)||'high_mm=9850'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1642'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(47,1,'threads','id=72'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=5.65288944358145073465e+01'||char(31)||'lab_a=3.86281481665859942609e+01'||char(31)||'lab_b=-5.93906970146653065975e+01'||char(31)||'');
INSERT INTO "changes" VALUES(48,1,'thread_needs','id=27'||char(31)||'',NULL,'id=27'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=72'||char(31)||'called=72'||char(31)||'class_index=24'||char(31)||'stitches=371'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=8190'||char(31)||'likely_mm=8859'||char(31)||'high_mm=9884'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1648'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(49,1,'threads','id=77'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=2.81057483670761598659e+01'||char(31)||'lab_a=6.27700886188706252966e+00'||char(31)||'lab_b=-1.28449314545356898522e+01'||char(31)||'');
INSERT INTO "changes" VALUES(50,1,'thread_needs','id=28'||char(31)||'',NULL,'id=28'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=77'||char(31)||'called=77'||char(31)||'class_index=25'||char(31)||'stitches=367'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=8097'||char(31)||'likely_mm=8787'||char(31)||'high_mm=9775'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1630'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(51,1,'thread_needs','id=29'||char(31)||'',NULL,'id=29'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=107'||char(31)||'called=107'||char(31)||'class_index=26'||char(31)||'stitches=363'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=8007'||char(31)||'likely_mm=8715'||char(31)||'high_mm=9669'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1612'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(52,1,'threads','id=81'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=3.51889888889340411996e+01'||char(31)||'lab_a=2.68771137527224475145e+01'||char(31)||'lab_b=-7.93648708452592277495e+00'||char(31)||'');
INSERT INTO "changes" VALUES(53,1,'thread_needs','id=30'||char(31)||'',NULL,'id=30'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=81'||char(31)||'called=81'||char(31)||'class_index=27'||char(31)||'stitches=360'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7958'||char(31)||'likely_mm=8661'||char(31)||'high_mm=9593'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1599'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(54,1,'threads','id=85'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=3.5572597103444657308e+01'||char(31)||'lab_a=2.85777951815585637982e+01'||char(31)||'lab_b=-2.83267775169159241599e+00'||char(31)||'');
INSERT INTO "changes" VALUES(55,1,'thread_needs','id=31'||char(31)||'',NULL,'id=31'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=85'||char(31)||'called=85'||char(31)||'class_index=28'||char(31)||'stitches=319'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=7038'||char(31)||'likely_mm=7705'||char(31)||'high_mm=8535'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1423'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(56,1,'threads','id=88'||char(31)||'','lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'','lab_l=22.680267122108'||char(31)||'lab_a=2.078833164614046769e-01'||char(31)||'lab_b=0.782646803721776'||char(31)||'');
INSERT INTO "changes" VALUES(57,1,'thread_needs','id=32'||char(31)||'',NULL,'id=32'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=88'||char(31)||'called=88'||char(31)||'class_index=29'||char(31)||'stitches=240'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=5592'||char(31)||'likely_mm=6079'||char(31)||'high_mm=6782'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1131'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(58,1,'thread_needs','id=33'||char(31)||'',NULL,'id=33'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'thread=108'||char(31)||'called=108'||char(31)||'class_index=30'||char(31)||'stitches=360'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=8079'||char(31)||'likely_mm=8778'||char(31)||'high_mm=9763'||char(31)||'skeins=1'||char(31)||'putup_length_mm=1628'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(59,1,'fabric_needs','id=2'||char(31)||'',NULL,'id=2'||char(31)||'project=3'||char(31)||'source=''chart'''||char(31)||'count=28.0'||char(31)||'colour=''ivory'''||char(31)||'width_mm=368'||char(31)||'height_mm=314'||char(31)||'pieces=1'||char(31)||'');
INSERT INTO "changes" VALUES(60,1,'thread_needs','id=34'||char(31)||'',NULL,'id=34'||char(31)||'project=1'||char(31)||'source=''chart'''||char(31)||'thread=25'||char(31)||'called=25'||char(31)||'class_index=1'||char(31)||'stitches=2506'||char(31)||'strands=''2'''||char(31)||'factor=1.0'||char(31)||'low_mm=55636'||char(31)||'likely_mm=60613'||char(31)||'high_mm=66972'||char(31)||'skeins=2'||char(31)||'putup_length_mm=11162'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(61,1,'fabric_needs','id=3'||char(31)||'',NULL,'id=3'||char(31)||'project=1'||char(31)||'source=''chart'''||char(31)||'count=28.0'||char(31)||'colour=''ivory'''||char(31)||'width_mm=259'||char(31)||'height_mm=477'||char(31)||'pieces=1'||char(31)||'');
INSERT INTO "changes" VALUES(62,6,'threads','id=110'||char(31)||'','code=''ZZ9'''||char(31)||'code_key=''zz9'''||char(31)||'','code=''ZZ10'''||char(31)||'code_key=''zz10'''||char(31)||'');
INSERT INTO "changes" VALUES(63,7,'stock','id=138'||char(31)||'','place='''''||char(31)||'','place=''Box 2'''||char(31)||'');
INSERT INTO "changes" VALUES(64,8,'stock','id=138'||char(31)||'','thread=110'||char(31)||'','thread=2'||char(31)||'');
INSERT INTO "changes" VALUES(65,8,'threads','id=110'||char(31)||'','id=110'||char(31)||'line='''''||char(31)||'code=''ZZ10'''||char(31)||'code_key=''zz10'''||char(31)||'line_key='''''||char(31)||'name='''''||char(31)||'putup_mm=NULL'||char(31)||'strands=NULL'||char(31)||'hex=NULL'||char(31)||'lab_l=NULL'||char(31)||'lab_a=NULL'||char(31)||'lab_b=NULL'||char(31)||'price=NULL'||char(31)||'discontinued=0'||char(31)||'gone=0'||char(31)||'',NULL);
INSERT INTO "changes" VALUES(66,10,'thread_needs','id=35'||char(31)||'',NULL,'id=35'||char(31)||'project=4'||char(31)||'source=''hand'''||char(31)||'thread=2'||char(31)||'called=2'||char(31)||'class_index=NULL'||char(31)||'stitches=0'||char(31)||'strands=''1'''||char(31)||'factor=1.0'||char(31)||'low_mm=0'||char(31)||'likely_mm=0'||char(31)||'high_mm=0'||char(31)||'skeins=1'||char(31)||'putup_length_mm=8000'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(67,13,'thread_needs','id=36'||char(31)||'',NULL,'id=36'||char(31)||'project=4'||char(31)||'source=''hand'''||char(31)||'thread=2'||char(31)||'called=2'||char(31)||'class_index=NULL'||char(31)||'stitches=0'||char(31)||'strands=''1'''||char(31)||'factor=1.0'||char(31)||'low_mm=0'||char(31)||'likely_mm=0'||char(31)||'high_mm=0'||char(31)||'skeins=1'||char(31)||'putup_length_mm=8000'||char(31)||'note='''''||char(31)||'');
INSERT INTO "changes" VALUES(68,14,'thread_needs','id=36'||char(31)||'','id=36'||char(31)||'project=4'||char(31)||'source=''hand'''||char(31)||'thread=2'||char(31)||'called=2'||char(31)||'class_index=NULL'||char(31)||'stitches=0'||char(31)||'strands=''1'''||char(31)||'factor=1.0'||char(31)||'low_mm=0'||char(31)||'likely_mm=0'||char(31)||'high_mm=0'||char(31)||'skeins=1'||char(31)||'putup_length_mm=8000'||char(31)||'note='''''||char(31)||'',NULL);
INSERT INTO "changes" VALUES(69,15,'settings','key=''rule.keep_back'''||char(31)||'',NULL,'key=''rule.keep_back'''||char(31)||'value=''1'''||char(31)||'');
CREATE TABLE charts (
    stock INTEGER PRIMARY KEY REFERENCES stock,
    title TEXT NOT NULL UNIQUE CHECK (title <> ''),
    file TEXT NOT NULL DEFAULT '',
    book TEXT NOT NULL DEFAULT '',
    issue TEXT NOT NULL DEFAULT '',
    page TEXT NOT NULL DEFAULT '',
    place TEXT NOT NULL DEFAULT '',
    note TEXT NOT NULL DEFAULT ''
, gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1)), title_key TEXT NOT NULL DEFAULT '') STRICT;
INSERT INTO "charts" VALUES(134,'Band sampler','sampler.json','','','','green folder','',0,'band sampler');
INSERT INTO "charts" VALUES(135,'Frost star','ornament.json','Stars to hang','','12','shelf 2','',0,'frost star');
INSERT INTO "charts" VALUES(136,'Evening hills','picture.json','','','','','',0,'evening hills');
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
INSERT INTO "demands" VALUES(1,3,1879);
INSERT INTO "demands" VALUES(2,4,8000);
INSERT INTO "demands" VALUES(3,3,1243);
INSERT INTO "demands" VALUES(7,2,21643);
INSERT INTO "demands" VALUES(7,3,1460);
INSERT INTO "demands" VALUES(14,3,1593);
INSERT INTO "demands" VALUES(19,3,1634);
INSERT INTO "demands" VALUES(23,3,1634);
INSERT INTO "demands" VALUES(25,1,11162);
INSERT INTO "demands" VALUES(25,3,1604);
INSERT INTO "demands" VALUES(44,3,1532);
INSERT INTO "demands" VALUES(46,2,12650);
INSERT INTO "demands" VALUES(46,3,1563);
INSERT INTO "demands" VALUES(57,3,1619);
INSERT INTO "demands" VALUES(63,3,1631);
INSERT INTO "demands" VALUES(67,3,1663);
INSERT INTO "demands" VALUES(72,3,1648);
INSERT INTO "demands" VALUES(77,3,1630);
INSERT INTO "demands" VALUES(81,3,1599);
INSERT INTO "demands" VALUES(85,3,1423);
INSERT INTO "demands" VALUES(88,3,1131);
INSERT INTO "demands" VALUES(96,2,12044);
INSERT INTO "demands" VALUES(96,3,1591);
INSERT INTO "demands" VALUES(97,3,1565);
INSERT INTO "demands" VALUES(98,3,1568);
INSERT INTO "demands" VALUES(99,3,1610);
INSERT INTO "demands" VALUES(100,3,1566);
INSERT INTO "demands" VALUES(101,3,1555);
INSERT INTO "demands" VALUES(102,3,1566);
INSERT INTO "demands" VALUES(103,3,1566);
INSERT INTO "demands" VALUES(104,3,1613);
INSERT INTO "demands" VALUES(105,3,1608);
INSERT INTO "demands" VALUES(106,3,1642);
INSERT INTO "demands" VALUES(107,3,1612);
INSERT INTO "demands" VALUES(108,3,1628);
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
INSERT INTO "entries" VALUES(10,1,10,'counted',7500,0,NULL);
INSERT INTO "entries" VALUES(11,1,11,'counted',7400,0,NULL);
INSERT INTO "entries" VALUES(12,1,12,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(13,1,13,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(14,1,14,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(15,1,15,'counted',6700,0,NULL);
INSERT INTO "entries" VALUES(16,1,16,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(17,1,17,'counted',4100,0,NULL);
INSERT INTO "entries" VALUES(18,1,18,'counted',1,0,NULL);
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
INSERT INTO "entries" VALUES(60,1,60,'counted',4,0,NULL);
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
INSERT INTO "entries" VALUES(79,1,79,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(80,1,80,'counted',6500,0,NULL);
INSERT INTO "entries" VALUES(81,1,81,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(82,1,82,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(83,1,83,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(84,1,84,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(85,1,85,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(86,1,86,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(87,1,87,'counted',4000,0,NULL);
INSERT INTO "entries" VALUES(88,1,88,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(89,1,89,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(90,1,90,'counted',7000,0,NULL);
INSERT INTO "entries" VALUES(91,1,91,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(92,1,92,'counted',7100,0,NULL);
INSERT INTO "entries" VALUES(93,1,93,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(94,1,94,'counted',2700,0,NULL);
INSERT INTO "entries" VALUES(95,1,95,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(96,1,96,'counted',2200,0,NULL);
INSERT INTO "entries" VALUES(97,1,97,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(98,1,98,'counted',6100,0,NULL);
INSERT INTO "entries" VALUES(99,1,99,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(100,1,100,'counted',4800,0,NULL);
INSERT INTO "entries" VALUES(101,1,101,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(102,1,102,'counted',4500,0,NULL);
INSERT INTO "entries" VALUES(103,1,103,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(104,1,104,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(105,1,105,'counted',4200,0,NULL);
INSERT INTO "entries" VALUES(106,1,106,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(107,1,107,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(108,1,108,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(109,1,109,'counted',4500,0,NULL);
INSERT INTO "entries" VALUES(110,1,110,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(111,1,111,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(112,1,112,'counted',5800,0,NULL);
INSERT INTO "entries" VALUES(113,1,113,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(114,1,114,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(115,1,115,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(116,1,116,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(117,1,117,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(118,1,118,'counted',2,0,NULL);
INSERT INTO "entries" VALUES(119,1,119,'counted',2900,0,NULL);
INSERT INTO "entries" VALUES(120,1,120,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(121,1,121,'counted',4,0,NULL);
INSERT INTO "entries" VALUES(122,1,122,'counted',1000,0,NULL);
INSERT INTO "entries" VALUES(123,1,123,'counted',3200,0,NULL);
INSERT INTO "entries" VALUES(124,1,124,'counted',2000,0,NULL);
INSERT INTO "entries" VALUES(125,1,125,'counted',3,0,NULL);
INSERT INTO "entries" VALUES(126,1,126,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(127,1,127,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(128,1,128,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(129,1,129,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(130,1,130,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(131,1,131,'counted',6000,0,NULL);
INSERT INTO "entries" VALUES(132,1,132,'counted',3000,0,NULL);
INSERT INTO "entries" VALUES(133,1,133,'counted',4000,0,NULL);
INSERT INTO "entries" VALUES(134,1,134,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(135,1,135,'counted',1,0,NULL);
INSERT INTO "entries" VALUES(136,2,31,'promised',0,2,NULL);
INSERT INTO "entries" VALUES(137,2,126,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(138,2,134,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(139,4,137,'bought',2,0,NULL);
INSERT INTO "entries" VALUES(140,5,138,'bought',3,0,NULL);
INSERT INTO "entries" VALUES(141,11,3,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(142,16,14,'used',-1,0,NULL);
INSERT INTO "entries" VALUES(143,18,10,'promised',0,7500,NULL);
INSERT INTO "entries" VALUES(144,18,9,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(145,18,63,'promised',0,4700,NULL);
INSERT INTO "entries" VALUES(146,18,128,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(147,18,132,'promised',0,2500,NULL);
INSERT INTO "entries" VALUES(148,18,131,'promised',0,6000,NULL);
INSERT INTO "entries" VALUES(149,18,135,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(150,19,134,'promised',0,-1,138);
INSERT INTO "entries" VALUES(151,19,126,'promised',0,-1,137);
INSERT INTO "entries" VALUES(152,19,31,'promised',0,-2,136);
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
INSERT INTO "holdings" VALUES(2,9,1);
INSERT INTO "holdings" VALUES(2,10,7500);
INSERT INTO "holdings" VALUES(2,63,4700);
INSERT INTO "holdings" VALUES(2,128,1);
INSERT INTO "holdings" VALUES(2,131,6000);
INSERT INTO "holdings" VALUES(2,132,2500);
INSERT INTO "holdings" VALUES(2,135,1);
INSERT INTO "holdings" VALUES(4,3,1);
CREATE TABLE imports (
    act INTEGER PRIMARY KEY REFERENCES acts,
    what TEXT NOT NULL,
    file TEXT NOT NULL,
    rows BLOB NOT NULL
) STRICT;
CREATE TABLE migrations (number INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, taken TEXT NOT NULL) STRICT;
INSERT INTO "migrations" VALUES(1,'stock and entries','2026-11-29T11:28:59.290627Z');
INSERT INTO "migrations" VALUES(2,'projects and needs','2026-11-29T11:28:59.290627Z');
INSERT INTO "migrations" VALUES(3,'prices and wishes','2026-11-29T11:28:59.290627Z');
INSERT INTO "migrations" VALUES(4,'changes and places','2026-11-29T11:28:59.290627Z');
CREATE TABLE notion_needs (
    id INTEGER PRIMARY KEY,
    project INTEGER NOT NULL REFERENCES projects,
    notion INTEGER NOT NULL REFERENCES notions,
    amount INTEGER NOT NULL CHECK (amount > 0),
    note TEXT NOT NULL DEFAULT ''
) STRICT;
INSERT INTO "notion_needs" VALUES(1,2,131,10000,'');
INSERT INTO "notion_needs" VALUES(2,2,132,2500,'10 cm each');
CREATE TABLE notions (
    stock INTEGER PRIMARY KEY REFERENCES stock,
    name TEXT NOT NULL CHECK (name <> ''),
    unit TEXT NOT NULL DEFAULT '',
    note TEXT NOT NULL DEFAULT '', price INTEGER CHECK (price >= 0), gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1)), name_key TEXT NOT NULL DEFAULT '',
    UNIQUE (name, unit)
) STRICT;
INSERT INTO "notions" VALUES(131,'seed beads, frost','g','blue tin',90,0,'seed beads, frost');
INSERT INTO "notions" VALUES(132,'hanging loops, silver','m','',150,0,'hanging loops, silver');
INSERT INTO "notions" VALUES(133,'tapestry needles 26','','',60,0,'tapestry needles 26');
CREATE TABLE open_act (act INTEGER NOT NULL REFERENCES acts) STRICT;
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
INSERT INTO "pieces" VALUES(126,'F1',28.0,NULL,'ivory','#f4eedd','linen',500,700,'',NULL);
INSERT INTO "pieces" VALUES(127,'F2',28.0,NULL,'ivory','#f4eedd','linen',350,350,'',NULL);
INSERT INTO "pieces" VALUES(128,'F3',14.0,NULL,'snow','#fbfbf8','cotton',1100,600,'',NULL);
INSERT INTO "pieces" VALUES(129,'F4',28.0,NULL,'oat','#e3d5ba','cotton and viscose',450,450,'',NULL);
INSERT INTO "pieces" VALUES(130,'F5',32.0,NULL,'dusk','#8d97a6','linen',500,400,'',NULL);
CREATE TABLE project_charts (
    project INTEGER NOT NULL REFERENCES projects,
    part INTEGER NOT NULL,
    chart INTEGER NOT NULL REFERENCES charts,
    PRIMARY KEY (project, part)
) STRICT, WITHOUT ROWID;
INSERT INTO "project_charts" VALUES(1,1,134);
INSERT INTO "project_charts" VALUES(2,1,135);
INSERT INTO "project_charts" VALUES(3,1,136);
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
INSERT INTO "projects" VALUES(1,'Band sampler','planned',1,28.0,NULL,2,'ivory',NULL,75,NULL,'meadowline','','linen bag 1','','','');
INSERT INTO "projects" VALUES(2,'Frost stars','planned',25,14.0,NULL,1,'snow',NULL,20,NULL,'meadowline','','tin box','','2026-12-06','');
INSERT INTO "projects" VALUES(3,'Evening hills','planned',1,28.0,NULL,2,'ivory',NULL,75,NULL,'meadowline','','linen bag 2','','2027-05-01','');
INSERT INTO "projects" VALUES(4,'Wren','in work',1,NULL,NULL,1,'',NULL,NULL,NULL,'','','','','','');
CREATE TABLE settings (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
INSERT INTO "settings" VALUES('rule.keep_back','1');
CREATE TABLE stock (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL CHECK (kind IN ('skein', 'part', 'piece', 'notion', 'chart')),
    thread INTEGER REFERENCES threads,
    dye_lot TEXT NOT NULL DEFAULT '', place TEXT NOT NULL DEFAULT '',
    CHECK ((kind IN ('skein', 'part')) = (thread IS NOT NULL))
) STRICT;
INSERT INTO "stock" VALUES(1,'skein',1,'','');
INSERT INTO "stock" VALUES(2,'part',1,'','');
INSERT INTO "stock" VALUES(3,'skein',2,'','');
INSERT INTO "stock" VALUES(4,'part',3,'','');
INSERT INTO "stock" VALUES(5,'skein',4,'','');
INSERT INTO "stock" VALUES(6,'skein',5,'','');
INSERT INTO "stock" VALUES(7,'skein',6,'','');
INSERT INTO "stock" VALUES(8,'part',6,'','');
INSERT INTO "stock" VALUES(9,'skein',7,'','');
INSERT INTO "stock" VALUES(10,'part',7,'','');
INSERT INTO "stock" VALUES(11,'part',8,'','');
INSERT INTO "stock" VALUES(12,'skein',9,'','');
INSERT INTO "stock" VALUES(13,'skein',10,'','');
INSERT INTO "stock" VALUES(14,'skein',11,'','');
INSERT INTO "stock" VALUES(15,'part',12,'','');
INSERT INTO "stock" VALUES(16,'skein',13,'','');
INSERT INTO "stock" VALUES(17,'part',13,'','');
INSERT INTO "stock" VALUES(18,'skein',14,'','');
INSERT INTO "stock" VALUES(19,'part',15,'','');
INSERT INTO "stock" VALUES(20,'skein',16,'','');
INSERT INTO "stock" VALUES(21,'part',17,'','');
INSERT INTO "stock" VALUES(22,'skein',18,'','');
INSERT INTO "stock" VALUES(23,'skein',19,'','');
INSERT INTO "stock" VALUES(24,'skein',20,'','');
INSERT INTO "stock" VALUES(25,'part',21,'','');
INSERT INTO "stock" VALUES(26,'skein',22,'','');
INSERT INTO "stock" VALUES(27,'part',22,'','');
INSERT INTO "stock" VALUES(28,'skein',23,'','');
INSERT INTO "stock" VALUES(29,'part',23,'','');
INSERT INTO "stock" VALUES(30,'part',24,'','');
INSERT INTO "stock" VALUES(31,'skein',25,'','');
INSERT INTO "stock" VALUES(32,'skein',26,'','');
INSERT INTO "stock" VALUES(33,'part',27,'','');
INSERT INTO "stock" VALUES(34,'skein',28,'','');
INSERT INTO "stock" VALUES(35,'part',28,'','');
INSERT INTO "stock" VALUES(36,'part',29,'','');
INSERT INTO "stock" VALUES(37,'skein',30,'','');
INSERT INTO "stock" VALUES(38,'skein',31,'','');
INSERT INTO "stock" VALUES(39,'part',31,'','');
INSERT INTO "stock" VALUES(40,'skein',32,'','');
INSERT INTO "stock" VALUES(41,'part',32,'','');
INSERT INTO "stock" VALUES(42,'skein',33,'','');
INSERT INTO "stock" VALUES(43,'part',33,'','');
INSERT INTO "stock" VALUES(44,'skein',34,'','');
INSERT INTO "stock" VALUES(45,'part',34,'','');
INSERT INTO "stock" VALUES(46,'skein',35,'','');
INSERT INTO "stock" VALUES(47,'part',35,'','');
INSERT INTO "stock" VALUES(48,'skein',36,'','');
INSERT INTO "stock" VALUES(49,'skein',37,'','');
INSERT INTO "stock" VALUES(50,'skein',38,'','');
INSERT INTO "stock" VALUES(51,'part',38,'','');
INSERT INTO "stock" VALUES(52,'skein',39,'','');
INSERT INTO "stock" VALUES(53,'part',39,'','');
INSERT INTO "stock" VALUES(54,'skein',40,'','');
INSERT INTO "stock" VALUES(55,'part',40,'','');
INSERT INTO "stock" VALUES(56,'skein',41,'','');
INSERT INTO "stock" VALUES(57,'skein',42,'','');
INSERT INTO "stock" VALUES(58,'skein',43,'','');
INSERT INTO "stock" VALUES(59,'part',43,'','');
INSERT INTO "stock" VALUES(60,'skein',44,'','');
INSERT INTO "stock" VALUES(61,'skein',45,'','');
INSERT INTO "stock" VALUES(62,'skein',46,'','');
INSERT INTO "stock" VALUES(63,'part',46,'','');
INSERT INTO "stock" VALUES(64,'skein',47,'','');
INSERT INTO "stock" VALUES(65,'skein',48,'','');
INSERT INTO "stock" VALUES(66,'skein',49,'','');
INSERT INTO "stock" VALUES(67,'skein',50,'','');
INSERT INTO "stock" VALUES(68,'part',51,'','');
INSERT INTO "stock" VALUES(69,'skein',52,'','');
INSERT INTO "stock" VALUES(70,'part',52,'','');
INSERT INTO "stock" VALUES(71,'skein',53,'','');
INSERT INTO "stock" VALUES(72,'part',54,'','');
INSERT INTO "stock" VALUES(73,'skein',55,'','');
INSERT INTO "stock" VALUES(74,'skein',56,'','');
INSERT INTO "stock" VALUES(75,'skein',57,'','');
INSERT INTO "stock" VALUES(76,'skein',58,'','');
INSERT INTO "stock" VALUES(77,'skein',59,'','');
INSERT INTO "stock" VALUES(78,'part',59,'','');
INSERT INTO "stock" VALUES(79,'skein',60,'','');
INSERT INTO "stock" VALUES(80,'part',60,'','');
INSERT INTO "stock" VALUES(81,'skein',61,'','');
INSERT INTO "stock" VALUES(82,'skein',62,'','');
INSERT INTO "stock" VALUES(83,'skein',63,'','');
INSERT INTO "stock" VALUES(84,'skein',64,'','');
INSERT INTO "stock" VALUES(85,'skein',65,'','');
INSERT INTO "stock" VALUES(86,'skein',66,'','');
INSERT INTO "stock" VALUES(87,'part',67,'','');
INSERT INTO "stock" VALUES(88,'skein',68,'','');
INSERT INTO "stock" VALUES(89,'skein',69,'','');
INSERT INTO "stock" VALUES(90,'part',69,'','');
INSERT INTO "stock" VALUES(91,'skein',70,'','');
INSERT INTO "stock" VALUES(92,'part',70,'','');
INSERT INTO "stock" VALUES(93,'skein',71,'','');
INSERT INTO "stock" VALUES(94,'part',71,'','');
INSERT INTO "stock" VALUES(95,'skein',72,'','');
INSERT INTO "stock" VALUES(96,'part',72,'','');
INSERT INTO "stock" VALUES(97,'skein',73,'','');
INSERT INTO "stock" VALUES(98,'part',73,'','');
INSERT INTO "stock" VALUES(99,'skein',74,'','');
INSERT INTO "stock" VALUES(100,'part',74,'','');
INSERT INTO "stock" VALUES(101,'skein',75,'','');
INSERT INTO "stock" VALUES(102,'part',76,'','');
INSERT INTO "stock" VALUES(103,'skein',77,'','');
INSERT INTO "stock" VALUES(104,'skein',78,'','');
INSERT INTO "stock" VALUES(105,'part',79,'','');
INSERT INTO "stock" VALUES(106,'skein',80,'','');
INSERT INTO "stock" VALUES(107,'skein',81,'','');
INSERT INTO "stock" VALUES(108,'skein',82,'','');
INSERT INTO "stock" VALUES(109,'part',82,'','');
INSERT INTO "stock" VALUES(110,'skein',83,'','');
INSERT INTO "stock" VALUES(111,'skein',84,'','');
INSERT INTO "stock" VALUES(112,'part',84,'','');
INSERT INTO "stock" VALUES(113,'skein',85,'','');
INSERT INTO "stock" VALUES(114,'skein',86,'','');
INSERT INTO "stock" VALUES(115,'skein',87,'','');
INSERT INTO "stock" VALUES(116,'skein',88,'','');
INSERT INTO "stock" VALUES(117,'skein',89,'','');
INSERT INTO "stock" VALUES(118,'skein',90,'','');
INSERT INTO "stock" VALUES(119,'part',90,'','');
INSERT INTO "stock" VALUES(120,'skein',91,'','');
INSERT INTO "stock" VALUES(121,'skein',92,'','');
INSERT INTO "stock" VALUES(122,'part',92,'','');
INSERT INTO "stock" VALUES(123,'part',93,'','');
INSERT INTO "stock" VALUES(124,'part',94,'','');
INSERT INTO "stock" VALUES(125,'skein',95,'','');
INSERT INTO "stock" VALUES(126,'piece',NULL,'','');
INSERT INTO "stock" VALUES(127,'piece',NULL,'','');
INSERT INTO "stock" VALUES(128,'piece',NULL,'','');
INSERT INTO "stock" VALUES(129,'piece',NULL,'','');
INSERT INTO "stock" VALUES(130,'piece',NULL,'','');
INSERT INTO "stock" VALUES(131,'notion',NULL,'','');
INSERT INTO "stock" VALUES(132,'notion',NULL,'','');
INSERT INTO "stock" VALUES(133,'notion',NULL,'','');
INSERT INTO "stock" VALUES(134,'chart',NULL,'','');
INSERT INTO "stock" VALUES(135,'chart',NULL,'','');
INSERT INTO "stock" VALUES(136,'chart',NULL,'','');
INSERT INTO "stock" VALUES(137,'skein',109,'','');
INSERT INTO "stock" VALUES(138,'skein',2,'','Box 2');
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
INSERT INTO "thread_needs" VALUES(1,2,'chart',7,7,1,4700,'2',1.0,107767,117350,129858,3,21643,'');
INSERT INTO "thread_needs" VALUES(2,2,'chart',46,46,2,2725,'2',1.0,62906,68663,75900,2,12650,'');
INSERT INTO "thread_needs" VALUES(3,2,'chart',96,96,3,2400,'2',1.0,59904,65249,72259,2,12044,'');
INSERT INTO "thread_needs" VALUES(4,3,'chart',1,1,1,417,'2',1.0,9328,10241,11274,1,1879,'');
INSERT INTO "thread_needs" VALUES(5,3,'chart',3,3,2,272,'2',1.0,6156,6757,7457,1,1243,'');
INSERT INTO "thread_needs" VALUES(6,3,'chart',7,7,3,328,'2',1.0,7262,7867,8760,1,1460,'');
INSERT INTO "thread_needs" VALUES(7,3,'chart',97,97,4,352,'2',1.0,7771,8518,9388,1,1565,'');
INSERT INTO "thread_needs" VALUES(8,3,'chart',14,14,5,358,'2',1.0,7900,8625,9556,1,1593,'');
INSERT INTO "thread_needs" VALUES(9,3,'chart',19,19,6,368,'2',1.0,8121,8805,9799,1,1634,'');
INSERT INTO "thread_needs" VALUES(10,3,'chart',23,23,7,368,'2',1.0,8110,8805,9801,1,1634,'');
INSERT INTO "thread_needs" VALUES(11,3,'chart',25,25,8,361,'2',1.0,7975,8679,9620,1,1604,'');
INSERT INTO "thread_needs" VALUES(12,3,'chart',98,98,9,353,'2',1.0,7794,8536,9407,1,1568,'');
INSERT INTO "thread_needs" VALUES(13,3,'chart',99,99,10,362,'2',1.0,7987,8697,9655,1,1610,'');
INSERT INTO "thread_needs" VALUES(14,3,'chart',100,100,11,352,'2',1.0,7771,8518,9394,1,1566,'');
INSERT INTO "thread_needs" VALUES(15,3,'chart',101,101,12,350,'2',1.0,7731,8482,9327,1,1555,'');
INSERT INTO "thread_needs" VALUES(16,3,'chart',44,44,13,345,'2',1.0,7613,8392,9191,1,1532,'');
INSERT INTO "thread_needs" VALUES(17,3,'chart',46,46,14,351,'2',1.0,7749,8500,9373,1,1563,'');
INSERT INTO "thread_needs" VALUES(18,3,'chart',102,102,15,352,'2',1.0,7760,8518,9391,1,1566,'');
INSERT INTO "thread_needs" VALUES(19,3,'chart',103,103,16,352,'2',1.0,7769,8518,9392,1,1566,'');
INSERT INTO "thread_needs" VALUES(20,3,'chart',57,57,17,365,'2',1.0,8056,8751,9713,1,1619,'');
INSERT INTO "thread_needs" VALUES(21,3,'chart',104,104,18,363,'2',1.0,8002,8715,9676,1,1613,'');
INSERT INTO "thread_needs" VALUES(22,3,'chart',105,105,19,362,'2',1.0,7979,8697,9644,1,1608,'');
INSERT INTO "thread_needs" VALUES(23,3,'chart',63,63,20,367,'2',1.0,8099,8787,9783,1,1631,'');
INSERT INTO "thread_needs" VALUES(24,3,'chart',67,67,21,375,'2',1.0,8274,8931,9973,1,1663,'');
INSERT INTO "thread_needs" VALUES(25,3,'chart',96,96,22,358,'2',1.0,7901,8625,9543,1,1591,'');
INSERT INTO "thread_needs" VALUES(26,3,'chart',106,106,23,370,'2',1.0,8163,8841,9850,1,1642,'');
INSERT INTO "thread_needs" VALUES(27,3,'chart',72,72,24,371,'2',1.0,8190,8859,9884,1,1648,'');
INSERT INTO "thread_needs" VALUES(28,3,'chart',77,77,25,367,'2',1.0,8097,8787,9775,1,1630,'');
INSERT INTO "thread_needs" VALUES(29,3,'chart',107,107,26,363,'2',1.0,8007,8715,9669,1,1612,'');
INSERT INTO "thread_needs" VALUES(30,3,'chart',81,81,27,360,'2',1.0,7958,8661,9593,1,1599,'');
INSERT INTO "thread_needs" VALUES(31,3,'chart',85,85,28,319,'2',1.0,7038,7705,8535,1,1423,'');
INSERT INTO "thread_needs" VALUES(32,3,'chart',88,88,29,240,'2',1.0,5592,6079,6782,1,1131,'');
INSERT INTO "thread_needs" VALUES(33,3,'chart',108,108,30,360,'2',1.0,8079,8778,9763,1,1628,'');
INSERT INTO "thread_needs" VALUES(34,1,'chart',25,25,1,2506,'2',1.0,55636,60613,66972,2,11162,'');
INSERT INTO "thread_needs" VALUES(35,4,'hand',2,2,NULL,0,'1',1.0,0,0,0,1,8000,'');
CREATE TABLE threads (
    id INTEGER PRIMARY KEY,
    line TEXT NOT NULL DEFAULT '',
    code TEXT NOT NULL CHECK (code <> ''),
    name TEXT NOT NULL DEFAULT '',
    putup_mm INTEGER CHECK (putup_mm > 0),
    strands INTEGER CHECK (strands > 0),
    hex TEXT, lab_l REAL, lab_a REAL, lab_b REAL, price INTEGER CHECK (price >= 0), discontinued INTEGER NOT NULL DEFAULT 0
    CHECK (discontinued IN (0, 1)), code_key TEXT NOT NULL DEFAULT '', line_key TEXT NOT NULL DEFAULT '', gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1)),
    UNIQUE (line, code)
) STRICT;
INSERT INTO "threads" VALUES(1,'Meadowline','ROS1','Rosehip 1',8000,6,'#ecdde0',8.93594175195776756464e+01,5.63319569641795858672e+00,3.82187478068618524673e-01,120,0,'ros1','meadowline',0);
INSERT INTO "threads" VALUES(2,'Meadowline','ROS4','Rosehip 4',8000,6,'#ef478a',NULL,NULL,NULL,120,0,'ros4','meadowline',0);
INSERT INTO "threads" VALUES(3,'Meadowline','ASH2','Ash rose 2',8000,6,'#b48d99',6.25533158457042901554e+01,1.66795960370202962503e+01,-6.82412400381937622739e-01,120,0,'ash2','meadowline',0);
INSERT INTO "threads" VALUES(4,'Meadowline','ASH3','Ash rose 3',8000,6,'#876670',NULL,NULL,NULL,120,0,'ash3','meadowline',0);
INSERT INTO "threads" VALUES(5,'Meadowline','HAW3','Hawberry 3',8000,6,'#f18791',NULL,NULL,NULL,120,0,'haw3','meadowline',0);
INSERT INTO "threads" VALUES(6,'Meadowline','KIL4','Kiln 4',8000,6,'#a75a59',NULL,NULL,NULL,120,0,'kil4','meadowline',0);
INSERT INTO "threads" VALUES(7,'Meadowline','KIL5','Kiln 5',8000,6,'#803e40',3.48140909517784180593e+01,2.86366419367680151708e+01,1.20855914508481649956e+01,120,0,'kil5','meadowline',0);
INSERT INTO "threads" VALUES(8,'Meadowline','WOR2','Worn tile 2',8000,6,'#b89196',NULL,NULL,NULL,120,0,'wor2','meadowline',0);
INSERT INTO "threads" VALUES(9,'Meadowline','WOR3','Worn tile 3',8000,6,'#8b6568',NULL,NULL,NULL,120,0,'wor3','meadowline',0);
INSERT INTO "threads" VALUES(10,'Meadowline','EMB1','Ember 1',8000,6,'#efdfdd',NULL,NULL,NULL,120,0,'emb1','meadowline',0);
INSERT INTO "threads" VALUES(11,'Meadowline','CLA2','Clay pot 2',8000,6,'#d7a89e',NULL,NULL,NULL,120,0,'cla2','meadowline',0);
INSERT INTO "threads" VALUES(12,'Meadowline','CLA6','Clay pot 6',8000,6,'#4e2a22',NULL,NULL,NULL,120,0,'cla6','meadowline',0);
INSERT INTO "threads" VALUES(13,'Meadowline','ROW5','Rowan 5',8000,6,'#bc4522',NULL,NULL,NULL,120,0,'row5','meadowline',0);
INSERT INTO "threads" VALUES(14,'Meadowline','FOX1','Fox 1',8000,6,'#e5d2ca',8.55123390641187484072e+01,5.25211169680994682806e+00,6.34417871082204598565e+00,120,0,'fox1','meadowline',0);
INSERT INTO "threads" VALUES(15,'Meadowline','FOX4','Fox 4',8000,6,'#99624d',NULL,NULL,NULL,120,0,'fox4','meadowline',0);
INSERT INTO "threads" VALUES(16,'Meadowline','FOX6','Fox 6',8000,6,'#4c2c1e',NULL,NULL,NULL,120,0,'fox6','meadowline',0);
INSERT INTO "threads" VALUES(17,'Meadowline','OTT1','Otter 1',8000,6,'#d8c0b9',NULL,NULL,NULL,120,0,'ott1','meadowline',0);
INSERT INTO "threads" VALUES(18,'Meadowline','OTT3','Otter 3',8000,6,'#88655b',NULL,NULL,NULL,120,0,'ott3','meadowline',0);
INSERT INTO "threads" VALUES(19,'Meadowline','MAR5','Marigold 5',8000,6,'#ab5513',4.5912960692934710492e+01,3.1332476943855379404e+01,4.9985855161989377394e+01,120,0,'mar5','meadowline',0);
INSERT INTO "threads" VALUES(20,'Meadowline','BRA3','Bracken 3',8000,6,'#ba875a',NULL,NULL,NULL,120,0,'bra3','meadowline',0);
INSERT INTO "threads" VALUES(21,'Meadowline','BRA4','Bracken 4',8000,6,'#90653e',NULL,NULL,NULL,120,0,'bra4','meadowline',0);
INSERT INTO "threads" VALUES(22,'Meadowline','HAZ2','Hazel 2',8000,6,'#af9281',NULL,NULL,NULL,120,0,'haz2','meadowline',0);
INSERT INTO "threads" VALUES(23,'Meadowline','APR1','Apricot 1',8000,6,'#f6e8da',9.2737544934127782879e+01,2.43391029596973229587e+00,8.50866786555046772377e+00,120,0,'apr1','meadowline',0);
INSERT INTO "threads" VALUES(24,'Meadowline','APR3','Apricot 3',8000,6,'#eca65d',NULL,NULL,NULL,120,0,'apr3','meadowline',0);
INSERT INTO "threads" VALUES(25,'Meadowline','STR6','Straw 6',8000,6,'#44311b',2.19622647491363167651e+01,5.52303937088694,1.73027349805752734819e+01,120,0,'str6','meadowline',0);
INSERT INTO "threads" VALUES(26,'Meadowline','BUT1','Buttercup 1',8000,6,'#f4e9da',NULL,NULL,NULL,120,0,'but1','meadowline',0);
INSERT INTO "threads" VALUES(27,'Meadowline','HON6','Honey 6',8000,6,'#3c321b',NULL,NULL,NULL,120,0,'hon6','meadowline',0);
INSERT INTO "threads" VALUES(28,'Meadowline','BAR1','Barley 1',8000,6,'#d1c4b3',NULL,NULL,NULL,120,0,'bar1','meadowline',0);
INSERT INTO "threads" VALUES(29,'Meadowline','PRI1','Primrose 1',8000,6,'#f4ecdc',NULL,NULL,NULL,120,0,'pri1','meadowline',0);
INSERT INTO "threads" VALUES(30,'Meadowline','PRI2','Primrose 2',8000,6,'#dccf9e',NULL,NULL,NULL,120,0,'pri2','meadowline',0);
INSERT INTO "threads" VALUES(31,'Meadowline','THA4','Thatch 4',8000,6,'#736e3c',NULL,NULL,NULL,120,0,'tha4','meadowline',0);
INSERT INTO "threads" VALUES(32,'Meadowline','REE1','Reed 1',8000,6,'#ccc4af',NULL,NULL,NULL,120,0,'ree1','meadowline',0);
INSERT INTO "threads" VALUES(33,'Meadowline','REE2','Reed 2',8000,6,'#a3997d',NULL,NULL,NULL,120,0,'ree2','meadowline',0);
INSERT INTO "threads" VALUES(34,'Meadowline','REE3','Reed 3',8000,6,'#756b52',NULL,NULL,NULL,120,0,'ree3','meadowline',0);
INSERT INTO "threads" VALUES(35,'Meadowline','LEM3','Lemon peel 3',8000,6,'#bdb754',NULL,NULL,NULL,120,0,'lem3','meadowline',0);
INSERT INTO "threads" VALUES(36,'Meadowline','LEM6','Lemon peel 6',8000,6,'#6b6e14',NULL,NULL,NULL,120,0,'lem6','meadowline',0);
INSERT INTO "threads" VALUES(37,'Meadowline','LIC3','Lichen 3',8000,6,'#929459',NULL,NULL,NULL,120,0,'lic3','meadowline',0);
INSERT INTO "threads" VALUES(38,'Meadowline','NEW2','New leaf 2',8000,6,'#c9d3a3',NULL,NULL,NULL,120,0,'new2','meadowline',0);
INSERT INTO "threads" VALUES(39,'Meadowline','NEW3','New leaf 3',8000,6,'#a7be5a',NULL,NULL,NULL,120,0,'new3','meadowline',0);
INSERT INTO "threads" VALUES(40,'Meadowline','NEW6','New leaf 6',8000,6,'#5f7314',NULL,NULL,NULL,120,0,'new6','meadowline',0);
INSERT INTO "threads" VALUES(41,'Meadowline','OLI3','Olive 3',8000,6,'#809b5e',NULL,NULL,NULL,120,0,'oli3','meadowline',0);
INSERT INTO "threads" VALUES(42,'Meadowline','OLI4','Olive 4',8000,6,'#5f7840',NULL,NULL,NULL,120,0,'oli4','meadowline',0);
INSERT INTO "threads" VALUES(43,'Meadowline','GRA3','Grasshopper 3',8000,6,'#83b16d',NULL,NULL,NULL,120,0,'gra3','meadowline',0);
INSERT INTO "threads" VALUES(44,'Meadowline','GRA5','Grasshopper 5',8000,6,'#367814',4.4613725560034069419e+01,-3.88708066324145420358e+01,4.4269956238457083943e+01,120,0,'gra5','meadowline',0);
INSERT INTO "threads" VALUES(45,'Meadowline','GRA6','Grasshopper 6',8000,6,'#265e0e',NULL,NULL,NULL,120,0,'gra6','meadowline',0);
INSERT INTO "threads" VALUES(46,'Meadowline','NET4','Nettle 4',8000,6,'#3b4431',2.75339279876655353964e+01,-7.77487981919253190454e+00,1.03245946413738849396e+01,120,0,'net4','meadowline',0);
INSERT INTO "threads" VALUES(47,'Meadowline','PAR2','Parsley 2',8000,6,'#b0ceaf',NULL,NULL,NULL,120,0,'par2','meadowline',0);
INSERT INTO "threads" VALUES(48,'Meadowline','PAR6','Parsley 6',8000,6,'#135e29',NULL,NULL,NULL,120,0,'par6','meadowline',0);
INSERT INTO "threads" VALUES(49,'Meadowline','FER3','Fern 3',8000,6,'#5f9d73',NULL,NULL,NULL,120,0,'fer3','meadowline',0);
INSERT INTO "threads" VALUES(50,'Meadowline','FER4','Fern 4',8000,6,'#477752',NULL,NULL,NULL,120,0,'fer4','meadowline',0);
INSERT INTO "threads" VALUES(51,'Meadowline','FER5','Fern 5',8000,6,'#33583b',NULL,NULL,NULL,120,0,'fer5','meadowline',0);
INSERT INTO "threads" VALUES(52,'Meadowline','WIL4','Willow 4',8000,6,'#374838',NULL,NULL,NULL,120,0,'wil4','meadowline',0);
INSERT INTO "threads" VALUES(53,'Meadowline','MAL5','Mallard 5',8000,6,'#1b7756',NULL,NULL,NULL,120,0,'mal5','meadowline',0);
INSERT INTO "threads" VALUES(54,'Meadowline','YEW3','Yew 3',8000,6,'#5f9c85',NULL,NULL,NULL,120,0,'yew3','meadowline',0);
INSERT INTO "threads" VALUES(55,'Meadowline','LAU3','Laurel 3',8000,6,'#566f5e',NULL,NULL,NULL,120,0,'lau3','meadowline',0);
INSERT INTO "threads" VALUES(56,'Meadowline','DRA1','Dragonfly 1',8000,6,'#d5e6e2',NULL,NULL,NULL,120,0,'dra1','meadowline',0);
INSERT INTO "threads" VALUES(57,'Meadowline','DRA7','Dragonfly 7',8000,6,'#0c4238',2.45123812126935618498e+01,-1.99568937523351692675e+01,1.14270573760084648284e+00,120,0,'dra7','meadowline',0);
INSERT INTO "threads" VALUES(58,'Meadowline','POO3','Pool 3',8000,6,'#5f9b8e',NULL,NULL,NULL,120,0,'poo3','meadowline',0);
INSERT INTO "threads" VALUES(59,'Meadowline','POO6','Pool 6',8000,6,'#213a36',NULL,NULL,NULL,120,0,'poo6','meadowline',0);
INSERT INTO "threads" VALUES(60,'Meadowline','TEA6','Teal wing 6',8000,6,'#135d5d',NULL,NULL,NULL,120,0,'tea6','meadowline',0);
INSERT INTO "threads" VALUES(61,'Meadowline','MIL6','Millpond 6',8000,6,'#233941',NULL,NULL,NULL,120,0,'mil6','meadowline',0);
INSERT INTO "threads" VALUES(62,'Meadowline','RAI1','Rain 1',8000,6,'#b1ccd0',NULL,NULL,NULL,120,0,'rai1','meadowline',0);
INSERT INTO "threads" VALUES(63,'Meadowline','BRO1','Brook 1',8000,6,'#d8e3ec',8.96697695799653615722e+01,-1.96177520324175569399e+00,-5.63868849481501399623e+00,120,0,'bro1','meadowline',0);
INSERT INTO "threads" VALUES(64,'Meadowline','BRO2','Brook 2',8000,6,'#9dcbe6',NULL,NULL,NULL,120,0,'bro2','meadowline',0);
INSERT INTO "threads" VALUES(65,'Meadowline','BRO5','Brook 5',8000,6,'#217396',NULL,NULL,NULL,120,0,'bro5','meadowline',0);
INSERT INTO "threads" VALUES(66,'Meadowline','HER1','Heron 1',8000,6,'#ccdce8',NULL,NULL,NULL,120,0,'her1','meadowline',0);
INSERT INTO "threads" VALUES(67,'Meadowline','FLI2','Flint 2',8000,6,'#829ba9',6.2551617655801578623e+01,-5.55096738784838272806e+00,-1.01997632539942983953e+01,120,0,'fli2','meadowline',0);
INSERT INTO "threads" VALUES(68,'Meadowline','COR1','Cornfield blue 1',8000,6,'#dde5f0',NULL,NULL,NULL,120,0,'cor1','meadowline',0);
INSERT INTO "threads" VALUES(69,'Meadowline','HAR6','Harebell 6',8000,6,'#214fa4',NULL,NULL,NULL,120,0,'har6','meadowline',0);
INSERT INTO "threads" VALUES(70,'Meadowline','STO1','Storm 1',8000,6,'#c1c5d7',NULL,NULL,NULL,120,0,'sto1','meadowline',0);
INSERT INTO "threads" VALUES(71,'Meadowline','STO3','Storm 3',8000,6,'#656c87',NULL,NULL,NULL,120,0,'sto3','meadowline',0);
INSERT INTO "threads" VALUES(72,'Meadowline','IRI4','Iris 4',8000,6,'#8d74f0',5.65288944358145073465e+01,3.86281481665859942609e+01,-5.93906970146653065975e+01,120,0,'iri4','meadowline',0);
INSERT INTO "threads" VALUES(73,'Meadowline','IRI7','Iris 7',8000,6,'#3d2e71',NULL,NULL,NULL,120,0,'iri7','meadowline',0);
INSERT INTO "threads" VALUES(74,'Meadowline','BIL2','Bilberry 2',8000,6,'#beaed2',NULL,NULL,NULL,120,0,'bil2','meadowline',0);
INSERT INTO "threads" VALUES(75,'Meadowline','BIL3','Bilberry 3',8000,6,'#a289be',NULL,NULL,NULL,120,0,'bil3','meadowline',0);
INSERT INTO "threads" VALUES(76,'Meadowline','THI3','Thistle 3',8000,6,'#6e6b87',NULL,NULL,NULL,120,0,'thi3','meadowline',0);
INSERT INTO "threads" VALUES(77,'Meadowline','THI4','Thistle 4',8000,6,'#424056',2.81057483670761598659e+01,6.27700886188706252966e+00,-1.28449314545356898522e+01,120,0,'thi4','meadowline',0);
INSERT INTO "threads" VALUES(78,'Meadowline','DAM4','Damson 4',8000,6,'#8b638b',NULL,NULL,NULL,120,0,'dam4','meadowline',0);
INSERT INTO "threads" VALUES(79,'Meadowline','DAM5','Damson 5',8000,6,'#674368',NULL,NULL,NULL,120,0,'dam5','meadowline',0);
INSERT INTO "threads" VALUES(80,'Meadowline','HEA4','Heather 4',8000,6,'#4d3f52',NULL,NULL,NULL,120,0,'hea4','meadowline',0);
INSERT INTO "threads" VALUES(81,'Meadowline','MUL5','Mulberry 5',8000,6,'#764260',3.51889888889340411996e+01,2.68771137527224475145e+01,-7.93648708452592277495e+00,120,0,'mul5','meadowline',0);
INSERT INTO "threads" VALUES(82,'Meadowline','CAM1','Campion 1',8000,6,'#eedfe5',NULL,NULL,NULL,120,0,'cam1','meadowline',0);
INSERT INTO "threads" VALUES(83,'Meadowline','CAM7','Campion 7',8000,6,'#6b1641',NULL,NULL,NULL,120,0,'cam7','meadowline',0);
INSERT INTO "threads" VALUES(84,'Meadowline','BEE4','Beetroot 4',8000,6,'#9f5673',NULL,NULL,NULL,120,0,'bee4','meadowline',0);
INSERT INTO "threads" VALUES(85,'Meadowline','BEE5','Beetroot 5',8000,6,'#7c4159',3.5572597103444657308e+01,2.85777951815585637982e+01,-2.83267775169159241599e+00,120,0,'bee5','meadowline',0);
INSERT INTO "threads" VALUES(86,'Meadowline','MAO1','Mallow 1',8000,6,'#dac3ce',NULL,NULL,NULL,120,0,'mao1','meadowline',0);
INSERT INTO "threads" VALUES(87,'Meadowline','MAO2','Mallow 2',8000,6,'#b191a1',NULL,NULL,NULL,120,0,'mao2','meadowline',0);
INSERT INTO "threads" VALUES(88,'Meadowline','CHA8','Chalk 8',8000,6,'#373635',22.680267122108,2.078833164614046769e-01,0.782646803721776,120,0,'cha8','meadowline',0);
INSERT INTO "threads" VALUES(89,'Meadowline','FLE4','Fleece 4',8000,6,'#948d86',NULL,NULL,NULL,120,0,'fle4','meadowline',0);
INSERT INTO "threads" VALUES(90,'Meadowline','FLE7','Fleece 7',8000,6,'#4a433d',NULL,NULL,NULL,120,0,'fle7','meadowline',0);
INSERT INTO "threads" VALUES(91,'Meadowline','PEW1','Pewter 1',8000,6,'#e1e8ee',NULL,NULL,NULL,120,0,'pew1','meadowline',0);
INSERT INTO "threads" VALUES(92,'Meadowline','WAL1','Walnut 1',8000,6,'#f4dfd6',NULL,NULL,NULL,120,0,'wal1','meadowline',0);
INSERT INTO "threads" VALUES(93,'Meadowline','WAL4','Walnut 4',8000,6,'#97867d',NULL,NULL,NULL,120,0,'wal4','meadowline',0);
INSERT INTO "threads" VALUES(94,'Meadowline','WAL5','Walnut 5',8000,6,'#806f66',NULL,NULL,NULL,120,0,'wal5','meadowline',0);
INSERT INTO "threads" VALUES(95,'Meadowline','WAL6','Walnut 6',8000,6,'#67574f',NULL,NULL,NULL,120,0,'wal6','meadowline',0);
INSERT INTO "threads" VALUES(96,'Meadowline','DUS5','Dusk 5',8000,6,'#3b5372',3.46622639580646492159e+01,1.36570100467747757022e-01,-2.05668832078858230269e+01,120,0,'dus5','meadowline',0);
INSERT INTO "threads" VALUES(97,'Meadowline','CLA1','Clay pot 1',8000,6,'#e5d0cc',8.50629725546864818869e+01,6.62405723376802146873e+00,4.63500618203029901565e+00,120,0,'cla1','meadowline',0);
INSERT INTO "threads" VALUES(98,'Meadowline','HON3','Honey 3',8000,6,'#a88c52',5.96091470922915078745e+01,2.98690695715436715929e+00,3.47368330130929621186e+01,120,0,'hon3','meadowline',0);
INSERT INTO "threads" VALUES(99,'Meadowline','PRI6','Primrose 6',8000,6,'#786d14',4.56089234895834607632e+01,-5.70557840673913130302e+00,4.68354498902250639949e+01,120,0,'pri6','meadowline',0);
INSERT INTO "threads" VALUES(100,'Meadowline','LEM4','Lemon peel 4',8000,6,'#9d9d20',6.2833248836479242529e+01,-1.4296950189553180976e+01,5.96300830810473669885e+01,120,0,'lem4','meadowline',0);
INSERT INTO "threads" VALUES(101,'Meadowline','NEW4','New leaf 4',8000,6,'#84a521',6.32814216299948668637e+01,-2.90468352829946780957e+01,5.90267814266028807441e+01,120,0,'new4','meadowline',0);
INSERT INTO "threads" VALUES(102,'Meadowline','WIL1','Willow 1',8000,6,'#bccab9',7.98607024693348819264e+01,-7.91919121696027517032e+00,6.85757371148243421998e+00,120,0,'wil1','meadowline',0);
INSERT INTO "threads" VALUES(103,'Meadowline','YEW4','Yew 4',8000,6,'#497a69',4.7436462804535281636e+01,-2.08300124580479959499e+01,4.11608674432697441147e+00,120,0,'yew4','meadowline',0);
INSERT INTO "threads" VALUES(104,'Meadowline','TEA3','Teal wing 3',8000,6,'#34b5b8',6.74532740361311908836e+01,-3.27115627625034761645e+01,-1.15592385629212923703e+01,120,0,'tea3','meadowline',0);
INSERT INTO "threads" VALUES(105,'Meadowline','WEI5','Weir 5',8000,6,'#207688',4.56891135980851714748e+01,-1.84883423930841956916e+01,-1.7050709848322597395e+01,120,0,'wei5','meadowline',0);
INSERT INTO "threads" VALUES(106,'Meadowline','HAR7','Harebell 7',8000,6,'#12376f',2.36981011921110180647e+01,9.54944746856875603668e+00,-3.61451965396968475383e+01,120,0,'har7','meadowline',0);
INSERT INTO "threads" VALUES(107,'Meadowline','HEA3','Heather 3',8000,6,'#776680',4.56113190611000263174e+01,1.19669773658101501472e+01,-1.19311996981225973966e+01,120,0,'hea3','meadowline',0);
INSERT INTO "threads" VALUES(108,'Meadowline','PEW4','Pewter 4',8000,6,'#888f95',5.90194747323153592324e+01,-1.30502521453224051839e+00,-4.05388078883575087019e+00,120,0,'pew4','meadowline',0);
INSERT INTO "threads" VALUES(109,'Fenmarl','ROS1','',NULL,NULL,NULL,NULL,NULL,NULL,NULL,0,'ros1','fenmarl',0);
CREATE TABLE wishes (
    id INTEGER PRIMARY KEY,
    thread INTEGER REFERENCES threads,
    words TEXT NOT NULL DEFAULT '',
    amount INTEGER CHECK (amount > 0),
    note TEXT NOT NULL DEFAULT '',
    CHECK (thread IS NOT NULL OR words <> '')
) STRICT;
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
CREATE INDEX notions_key ON notions (name_key);
CREATE INDEX charts_key ON charts (title_key);
CREATE INDEX threads_key ON threads (code_key, line_key);
CREATE INDEX stock_shelf ON stock (thread, dye_lot) WHERE kind = 'skein';
CREATE TRIGGER stock_moves AFTER UPDATE OF thread ON stock BEGIN
    UPDATE balances SET thread = NEW.thread WHERE stock = NEW.id;
END;
CREATE INDEX changes_act ON changes (act);
CREATE TRIGGER changes_stay BEFORE UPDATE ON changes BEGIN
    SELECT RAISE(ABORT, 'changes are never altered; reverse them');
END;
CREATE TRIGGER changes_remain BEFORE DELETE ON changes BEGIN
    SELECT RAISE(ABORT, 'changes are never deleted; reverse them');
END;
CREATE TRIGGER threads_update_kept AFTER UPDATE OF line, code, code_key, line_key, name, putup_mm, strands, hex, lab_l, lab_a, lab_b, price, discontinued, gone ON threads
WHEN (1) AND (OLD.line IS NOT NEW.line OR OLD.code IS NOT NEW.code OR OLD.code_key IS NOT NEW.code_key OR OLD.line_key IS NOT NEW.line_key OR OLD.name IS NOT NEW.name OR OLD.putup_mm IS NOT NEW.putup_mm OR OLD.strands IS NOT NEW.strands OR OLD.hex IS NOT NEW.hex OR OLD.lab_l IS NOT NEW.lab_l OR OLD.lab_a IS NOT NEW.lab_a OR OLD.lab_b IS NOT NEW.lab_b OR OLD.price IS NOT NEW.price OR OLD.discontinued IS NOT NEW.discontinued OR OLD.gone IS NOT NEW.gone) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'threads', 'id=' || quote(NEW.id) || char(31), CASE WHEN OLD.line IS NOT NEW.line THEN 'line=' || quote(OLD.line) || char(31) ELSE '' END || CASE WHEN OLD.code IS NOT NEW.code THEN 'code=' || quote(OLD.code) || char(31) ELSE '' END || CASE WHEN OLD.code_key IS NOT NEW.code_key THEN 'code_key=' || quote(OLD.code_key) || char(31) ELSE '' END || CASE WHEN OLD.line_key IS NOT NEW.line_key THEN 'line_key=' || quote(OLD.line_key) || char(31) ELSE '' END || CASE WHEN OLD.name IS NOT NEW.name THEN 'name=' || quote(OLD.name) || char(31) ELSE '' END || CASE WHEN OLD.putup_mm IS NOT NEW.putup_mm THEN 'putup_mm=' || quote(OLD.putup_mm) || char(31) ELSE '' END || CASE WHEN OLD.strands IS NOT NEW.strands THEN 'strands=' || quote(OLD.strands) || char(31) ELSE '' END || CASE WHEN OLD.hex IS NOT NEW.hex THEN 'hex=' || quote(OLD.hex) || char(31) ELSE '' END || CASE WHEN OLD.lab_l IS NOT NEW.lab_l THEN 'lab_l=' || quote(OLD.lab_l) || char(31) ELSE '' END || CASE WHEN OLD.lab_a IS NOT NEW.lab_a THEN 'lab_a=' || quote(OLD.lab_a) || char(31) ELSE '' END || CASE WHEN OLD.lab_b IS NOT NEW.lab_b THEN 'lab_b=' || quote(OLD.lab_b) || char(31) ELSE '' END || CASE WHEN OLD.price IS NOT NEW.price THEN 'price=' || quote(OLD.price) || char(31) ELSE '' END || CASE WHEN OLD.discontinued IS NOT NEW.discontinued THEN 'discontinued=' || quote(OLD.discontinued) || char(31) ELSE '' END || CASE WHEN OLD.gone IS NOT NEW.gone THEN 'gone=' || quote(OLD.gone) || char(31) ELSE '' END, CASE WHEN OLD.line IS NOT NEW.line THEN 'line=' || quote(NEW.line) || char(31) ELSE '' END || CASE WHEN OLD.code IS NOT NEW.code THEN 'code=' || quote(NEW.code) || char(31) ELSE '' END || CASE WHEN OLD.code_key IS NOT NEW.code_key THEN 'code_key=' || quote(NEW.code_key) || char(31) ELSE '' END || CASE WHEN OLD.line_key IS NOT NEW.line_key THEN 'line_key=' || quote(NEW.line_key) || char(31) ELSE '' END || CASE WHEN OLD.name IS NOT NEW.name THEN 'name=' || quote(NEW.name) || char(31) ELSE '' END || CASE WHEN OLD.putup_mm IS NOT NEW.putup_mm THEN 'putup_mm=' || quote(NEW.putup_mm) || char(31) ELSE '' END || CASE WHEN OLD.strands IS NOT NEW.strands THEN 'strands=' || quote(NEW.strands) || char(31) ELSE '' END || CASE WHEN OLD.hex IS NOT NEW.hex THEN 'hex=' || quote(NEW.hex) || char(31) ELSE '' END || CASE WHEN OLD.lab_l IS NOT NEW.lab_l THEN 'lab_l=' || quote(NEW.lab_l) || char(31) ELSE '' END || CASE WHEN OLD.lab_a IS NOT NEW.lab_a THEN 'lab_a=' || quote(NEW.lab_a) || char(31) ELSE '' END || CASE WHEN OLD.lab_b IS NOT NEW.lab_b THEN 'lab_b=' || quote(NEW.lab_b) || char(31) ELSE '' END || CASE WHEN OLD.price IS NOT NEW.price THEN 'price=' || quote(NEW.price) || char(31) ELSE '' END || CASE WHEN OLD.discontinued IS NOT NEW.discontinued THEN 'discontinued=' || quote(NEW.discontinued) || char(31) ELSE '' END || CASE WHEN OLD.gone IS NOT NEW.gone THEN 'gone=' || quote(NEW.gone) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER threads_delete_kept AFTER DELETE ON threads
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'threads', 'id=' || quote(OLD.id) || char(31), 'id=' || quote(OLD.id) || char(31) || 'line=' || quote(OLD.line) || char(31) || 'code=' || quote(OLD.code) || char(31) || 'code_key=' || quote(OLD.code_key) || char(31) || 'line_key=' || quote(OLD.line_key) || char(31) || 'name=' || quote(OLD.name) || char(31) || 'putup_mm=' || quote(OLD.putup_mm) || char(31) || 'strands=' || quote(OLD.strands) || char(31) || 'hex=' || quote(OLD.hex) || char(31) || 'lab_l=' || quote(OLD.lab_l) || char(31) || 'lab_a=' || quote(OLD.lab_a) || char(31) || 'lab_b=' || quote(OLD.lab_b) || char(31) || 'price=' || quote(OLD.price) || char(31) || 'discontinued=' || quote(OLD.discontinued) || char(31) || 'gone=' || quote(OLD.gone) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER stock_update_kept AFTER UPDATE OF thread, place ON stock
WHEN (1) AND (OLD.thread IS NOT NEW.thread OR OLD.place IS NOT NEW.place) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'stock', 'id=' || quote(NEW.id) || char(31), CASE WHEN OLD.thread IS NOT NEW.thread THEN 'thread=' || quote(OLD.thread) || char(31) ELSE '' END || CASE WHEN OLD.place IS NOT NEW.place THEN 'place=' || quote(OLD.place) || char(31) ELSE '' END, CASE WHEN OLD.thread IS NOT NEW.thread THEN 'thread=' || quote(NEW.thread) || char(31) ELSE '' END || CASE WHEN OLD.place IS NOT NEW.place THEN 'place=' || quote(NEW.place) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER stock_delete_kept AFTER DELETE ON stock
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'stock', 'id=' || quote(OLD.id) || char(31), 'id=' || quote(OLD.id) || char(31) || 'thread=' || quote(OLD.thread) || char(31) || 'place=' || quote(OLD.place) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER pieces_update_kept AFTER UPDATE OF label, colour, hex, fibre, note, meant_for ON pieces
WHEN (1) AND (OLD.label IS NOT NEW.label OR OLD.colour IS NOT NEW.colour OR OLD.hex IS NOT NEW.hex OR OLD.fibre IS NOT NEW.fibre OR OLD.note IS NOT NEW.note OR OLD.meant_for IS NOT NEW.meant_for) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'pieces', 'stock=' || quote(NEW.stock) || char(31), CASE WHEN OLD.label IS NOT NEW.label THEN 'label=' || quote(OLD.label) || char(31) ELSE '' END || CASE WHEN OLD.colour IS NOT NEW.colour THEN 'colour=' || quote(OLD.colour) || char(31) ELSE '' END || CASE WHEN OLD.hex IS NOT NEW.hex THEN 'hex=' || quote(OLD.hex) || char(31) ELSE '' END || CASE WHEN OLD.fibre IS NOT NEW.fibre THEN 'fibre=' || quote(OLD.fibre) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(OLD.note) || char(31) ELSE '' END || CASE WHEN OLD.meant_for IS NOT NEW.meant_for THEN 'meant_for=' || quote(OLD.meant_for) || char(31) ELSE '' END, CASE WHEN OLD.label IS NOT NEW.label THEN 'label=' || quote(NEW.label) || char(31) ELSE '' END || CASE WHEN OLD.colour IS NOT NEW.colour THEN 'colour=' || quote(NEW.colour) || char(31) ELSE '' END || CASE WHEN OLD.hex IS NOT NEW.hex THEN 'hex=' || quote(NEW.hex) || char(31) ELSE '' END || CASE WHEN OLD.fibre IS NOT NEW.fibre THEN 'fibre=' || quote(NEW.fibre) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(NEW.note) || char(31) ELSE '' END || CASE WHEN OLD.meant_for IS NOT NEW.meant_for THEN 'meant_for=' || quote(NEW.meant_for) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER pieces_delete_kept AFTER DELETE ON pieces
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'pieces', 'stock=' || quote(OLD.stock) || char(31), 'stock=' || quote(OLD.stock) || char(31) || 'label=' || quote(OLD.label) || char(31) || 'colour=' || quote(OLD.colour) || char(31) || 'hex=' || quote(OLD.hex) || char(31) || 'fibre=' || quote(OLD.fibre) || char(31) || 'note=' || quote(OLD.note) || char(31) || 'meant_for=' || quote(OLD.meant_for) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER notions_update_kept AFTER UPDATE OF name, name_key, unit, note, price, gone ON notions
WHEN (1) AND (OLD.name IS NOT NEW.name OR OLD.name_key IS NOT NEW.name_key OR OLD.unit IS NOT NEW.unit OR OLD.note IS NOT NEW.note OR OLD.price IS NOT NEW.price OR OLD.gone IS NOT NEW.gone) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'notions', 'stock=' || quote(NEW.stock) || char(31), CASE WHEN OLD.name IS NOT NEW.name THEN 'name=' || quote(OLD.name) || char(31) ELSE '' END || CASE WHEN OLD.name_key IS NOT NEW.name_key THEN 'name_key=' || quote(OLD.name_key) || char(31) ELSE '' END || CASE WHEN OLD.unit IS NOT NEW.unit THEN 'unit=' || quote(OLD.unit) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(OLD.note) || char(31) ELSE '' END || CASE WHEN OLD.price IS NOT NEW.price THEN 'price=' || quote(OLD.price) || char(31) ELSE '' END || CASE WHEN OLD.gone IS NOT NEW.gone THEN 'gone=' || quote(OLD.gone) || char(31) ELSE '' END, CASE WHEN OLD.name IS NOT NEW.name THEN 'name=' || quote(NEW.name) || char(31) ELSE '' END || CASE WHEN OLD.name_key IS NOT NEW.name_key THEN 'name_key=' || quote(NEW.name_key) || char(31) ELSE '' END || CASE WHEN OLD.unit IS NOT NEW.unit THEN 'unit=' || quote(NEW.unit) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(NEW.note) || char(31) ELSE '' END || CASE WHEN OLD.price IS NOT NEW.price THEN 'price=' || quote(NEW.price) || char(31) ELSE '' END || CASE WHEN OLD.gone IS NOT NEW.gone THEN 'gone=' || quote(NEW.gone) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER notions_delete_kept AFTER DELETE ON notions
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'notions', 'stock=' || quote(OLD.stock) || char(31), 'stock=' || quote(OLD.stock) || char(31) || 'name=' || quote(OLD.name) || char(31) || 'name_key=' || quote(OLD.name_key) || char(31) || 'unit=' || quote(OLD.unit) || char(31) || 'note=' || quote(OLD.note) || char(31) || 'price=' || quote(OLD.price) || char(31) || 'gone=' || quote(OLD.gone) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER charts_update_kept AFTER UPDATE OF title, title_key, file, book, issue, page, place, note, gone ON charts
WHEN (1) AND (OLD.title IS NOT NEW.title OR OLD.title_key IS NOT NEW.title_key OR OLD.file IS NOT NEW.file OR OLD.book IS NOT NEW.book OR OLD.issue IS NOT NEW.issue OR OLD.page IS NOT NEW.page OR OLD.place IS NOT NEW.place OR OLD.note IS NOT NEW.note OR OLD.gone IS NOT NEW.gone) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'charts', 'stock=' || quote(NEW.stock) || char(31), CASE WHEN OLD.title IS NOT NEW.title THEN 'title=' || quote(OLD.title) || char(31) ELSE '' END || CASE WHEN OLD.title_key IS NOT NEW.title_key THEN 'title_key=' || quote(OLD.title_key) || char(31) ELSE '' END || CASE WHEN OLD.file IS NOT NEW.file THEN 'file=' || quote(OLD.file) || char(31) ELSE '' END || CASE WHEN OLD.book IS NOT NEW.book THEN 'book=' || quote(OLD.book) || char(31) ELSE '' END || CASE WHEN OLD.issue IS NOT NEW.issue THEN 'issue=' || quote(OLD.issue) || char(31) ELSE '' END || CASE WHEN OLD.page IS NOT NEW.page THEN 'page=' || quote(OLD.page) || char(31) ELSE '' END || CASE WHEN OLD.place IS NOT NEW.place THEN 'place=' || quote(OLD.place) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(OLD.note) || char(31) ELSE '' END || CASE WHEN OLD.gone IS NOT NEW.gone THEN 'gone=' || quote(OLD.gone) || char(31) ELSE '' END, CASE WHEN OLD.title IS NOT NEW.title THEN 'title=' || quote(NEW.title) || char(31) ELSE '' END || CASE WHEN OLD.title_key IS NOT NEW.title_key THEN 'title_key=' || quote(NEW.title_key) || char(31) ELSE '' END || CASE WHEN OLD.file IS NOT NEW.file THEN 'file=' || quote(NEW.file) || char(31) ELSE '' END || CASE WHEN OLD.book IS NOT NEW.book THEN 'book=' || quote(NEW.book) || char(31) ELSE '' END || CASE WHEN OLD.issue IS NOT NEW.issue THEN 'issue=' || quote(NEW.issue) || char(31) ELSE '' END || CASE WHEN OLD.page IS NOT NEW.page THEN 'page=' || quote(NEW.page) || char(31) ELSE '' END || CASE WHEN OLD.place IS NOT NEW.place THEN 'place=' || quote(NEW.place) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(NEW.note) || char(31) ELSE '' END || CASE WHEN OLD.gone IS NOT NEW.gone THEN 'gone=' || quote(NEW.gone) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER charts_delete_kept AFTER DELETE ON charts
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'charts', 'stock=' || quote(OLD.stock) || char(31), 'stock=' || quote(OLD.stock) || char(31) || 'title=' || quote(OLD.title) || char(31) || 'title_key=' || quote(OLD.title_key) || char(31) || 'file=' || quote(OLD.file) || char(31) || 'book=' || quote(OLD.book) || char(31) || 'issue=' || quote(OLD.issue) || char(31) || 'page=' || quote(OLD.page) || char(31) || 'place=' || quote(OLD.place) || char(31) || 'note=' || quote(OLD.note) || char(31) || 'gone=' || quote(OLD.gone) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER projects_update_kept AFTER UPDATE OF name, copies, fabric_count, fabric_count_down, fabric_over, fabric_colour, fabric_hex, margin_mm, strands, palette, key_file, place, wished_start, deadline, note ON projects
WHEN (1) AND (OLD.name IS NOT NEW.name OR OLD.copies IS NOT NEW.copies OR OLD.fabric_count IS NOT NEW.fabric_count OR OLD.fabric_count_down IS NOT NEW.fabric_count_down OR OLD.fabric_over IS NOT NEW.fabric_over OR OLD.fabric_colour IS NOT NEW.fabric_colour OR OLD.fabric_hex IS NOT NEW.fabric_hex OR OLD.margin_mm IS NOT NEW.margin_mm OR OLD.strands IS NOT NEW.strands OR OLD.palette IS NOT NEW.palette OR OLD.key_file IS NOT NEW.key_file OR OLD.place IS NOT NEW.place OR OLD.wished_start IS NOT NEW.wished_start OR OLD.deadline IS NOT NEW.deadline OR OLD.note IS NOT NEW.note) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'projects', 'id=' || quote(NEW.id) || char(31), CASE WHEN OLD.name IS NOT NEW.name THEN 'name=' || quote(OLD.name) || char(31) ELSE '' END || CASE WHEN OLD.copies IS NOT NEW.copies THEN 'copies=' || quote(OLD.copies) || char(31) ELSE '' END || CASE WHEN OLD.fabric_count IS NOT NEW.fabric_count THEN 'fabric_count=' || quote(OLD.fabric_count) || char(31) ELSE '' END || CASE WHEN OLD.fabric_count_down IS NOT NEW.fabric_count_down THEN 'fabric_count_down=' || quote(OLD.fabric_count_down) || char(31) ELSE '' END || CASE WHEN OLD.fabric_over IS NOT NEW.fabric_over THEN 'fabric_over=' || quote(OLD.fabric_over) || char(31) ELSE '' END || CASE WHEN OLD.fabric_colour IS NOT NEW.fabric_colour THEN 'fabric_colour=' || quote(OLD.fabric_colour) || char(31) ELSE '' END || CASE WHEN OLD.fabric_hex IS NOT NEW.fabric_hex THEN 'fabric_hex=' || quote(OLD.fabric_hex) || char(31) ELSE '' END || CASE WHEN OLD.margin_mm IS NOT NEW.margin_mm THEN 'margin_mm=' || quote(OLD.margin_mm) || char(31) ELSE '' END || CASE WHEN OLD.strands IS NOT NEW.strands THEN 'strands=' || quote(OLD.strands) || char(31) ELSE '' END || CASE WHEN OLD.palette IS NOT NEW.palette THEN 'palette=' || quote(OLD.palette) || char(31) ELSE '' END || CASE WHEN OLD.key_file IS NOT NEW.key_file THEN 'key_file=' || quote(OLD.key_file) || char(31) ELSE '' END || CASE WHEN OLD.place IS NOT NEW.place THEN 'place=' || quote(OLD.place) || char(31) ELSE '' END || CASE WHEN OLD.wished_start IS NOT NEW.wished_start THEN 'wished_start=' || quote(OLD.wished_start) || char(31) ELSE '' END || CASE WHEN OLD.deadline IS NOT NEW.deadline THEN 'deadline=' || quote(OLD.deadline) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(OLD.note) || char(31) ELSE '' END, CASE WHEN OLD.name IS NOT NEW.name THEN 'name=' || quote(NEW.name) || char(31) ELSE '' END || CASE WHEN OLD.copies IS NOT NEW.copies THEN 'copies=' || quote(NEW.copies) || char(31) ELSE '' END || CASE WHEN OLD.fabric_count IS NOT NEW.fabric_count THEN 'fabric_count=' || quote(NEW.fabric_count) || char(31) ELSE '' END || CASE WHEN OLD.fabric_count_down IS NOT NEW.fabric_count_down THEN 'fabric_count_down=' || quote(NEW.fabric_count_down) || char(31) ELSE '' END || CASE WHEN OLD.fabric_over IS NOT NEW.fabric_over THEN 'fabric_over=' || quote(NEW.fabric_over) || char(31) ELSE '' END || CASE WHEN OLD.fabric_colour IS NOT NEW.fabric_colour THEN 'fabric_colour=' || quote(NEW.fabric_colour) || char(31) ELSE '' END || CASE WHEN OLD.fabric_hex IS NOT NEW.fabric_hex THEN 'fabric_hex=' || quote(NEW.fabric_hex) || char(31) ELSE '' END || CASE WHEN OLD.margin_mm IS NOT NEW.margin_mm THEN 'margin_mm=' || quote(NEW.margin_mm) || char(31) ELSE '' END || CASE WHEN OLD.strands IS NOT NEW.strands THEN 'strands=' || quote(NEW.strands) || char(31) ELSE '' END || CASE WHEN OLD.palette IS NOT NEW.palette THEN 'palette=' || quote(NEW.palette) || char(31) ELSE '' END || CASE WHEN OLD.key_file IS NOT NEW.key_file THEN 'key_file=' || quote(NEW.key_file) || char(31) ELSE '' END || CASE WHEN OLD.place IS NOT NEW.place THEN 'place=' || quote(NEW.place) || char(31) ELSE '' END || CASE WHEN OLD.wished_start IS NOT NEW.wished_start THEN 'wished_start=' || quote(NEW.wished_start) || char(31) ELSE '' END || CASE WHEN OLD.deadline IS NOT NEW.deadline THEN 'deadline=' || quote(NEW.deadline) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(NEW.note) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER projects_delete_kept AFTER DELETE ON projects
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'projects', 'id=' || quote(OLD.id) || char(31), 'id=' || quote(OLD.id) || char(31) || 'name=' || quote(OLD.name) || char(31) || 'copies=' || quote(OLD.copies) || char(31) || 'fabric_count=' || quote(OLD.fabric_count) || char(31) || 'fabric_count_down=' || quote(OLD.fabric_count_down) || char(31) || 'fabric_over=' || quote(OLD.fabric_over) || char(31) || 'fabric_colour=' || quote(OLD.fabric_colour) || char(31) || 'fabric_hex=' || quote(OLD.fabric_hex) || char(31) || 'margin_mm=' || quote(OLD.margin_mm) || char(31) || 'strands=' || quote(OLD.strands) || char(31) || 'palette=' || quote(OLD.palette) || char(31) || 'key_file=' || quote(OLD.key_file) || char(31) || 'place=' || quote(OLD.place) || char(31) || 'wished_start=' || quote(OLD.wished_start) || char(31) || 'deadline=' || quote(OLD.deadline) || char(31) || 'note=' || quote(OLD.note) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER project_charts_insert_kept AFTER INSERT ON project_charts
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'project_charts', 'project=' || quote(NEW.project) || char(31) || 'part=' || quote(NEW.part) || char(31), NULL, 'project=' || quote(NEW.project) || char(31) || 'part=' || quote(NEW.part) || char(31) || 'chart=' || quote(NEW.chart) || char(31) FROM open_act;
END;
CREATE TRIGGER project_charts_update_kept AFTER UPDATE OF project, part, chart ON project_charts
WHEN (1) AND (OLD.project IS NOT NEW.project OR OLD.part IS NOT NEW.part OR OLD.chart IS NOT NEW.chart) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'project_charts', 'project=' || quote(NEW.project) || char(31) || 'part=' || quote(NEW.part) || char(31), CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(OLD.project) || char(31) ELSE '' END || CASE WHEN OLD.part IS NOT NEW.part THEN 'part=' || quote(OLD.part) || char(31) ELSE '' END || CASE WHEN OLD.chart IS NOT NEW.chart THEN 'chart=' || quote(OLD.chart) || char(31) ELSE '' END, CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(NEW.project) || char(31) ELSE '' END || CASE WHEN OLD.part IS NOT NEW.part THEN 'part=' || quote(NEW.part) || char(31) ELSE '' END || CASE WHEN OLD.chart IS NOT NEW.chart THEN 'chart=' || quote(NEW.chart) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER project_charts_delete_kept AFTER DELETE ON project_charts
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'project_charts', 'project=' || quote(OLD.project) || char(31) || 'part=' || quote(OLD.part) || char(31), 'project=' || quote(OLD.project) || char(31) || 'part=' || quote(OLD.part) || char(31) || 'chart=' || quote(OLD.chart) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER choices_insert_kept AFTER INSERT ON choices
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'choices', 'project=' || quote(NEW.project) || char(31) || 'called=' || quote(NEW.called) || char(31), NULL, 'project=' || quote(NEW.project) || char(31) || 'called=' || quote(NEW.called) || char(31) || 'used=' || quote(NEW.used) || char(31) FROM open_act;
END;
CREATE TRIGGER choices_update_kept AFTER UPDATE OF project, called, used ON choices
WHEN (1) AND (OLD.project IS NOT NEW.project OR OLD.called IS NOT NEW.called OR OLD.used IS NOT NEW.used) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'choices', 'project=' || quote(NEW.project) || char(31) || 'called=' || quote(NEW.called) || char(31), CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(OLD.project) || char(31) ELSE '' END || CASE WHEN OLD.called IS NOT NEW.called THEN 'called=' || quote(OLD.called) || char(31) ELSE '' END || CASE WHEN OLD.used IS NOT NEW.used THEN 'used=' || quote(OLD.used) || char(31) ELSE '' END, CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(NEW.project) || char(31) ELSE '' END || CASE WHEN OLD.called IS NOT NEW.called THEN 'called=' || quote(NEW.called) || char(31) ELSE '' END || CASE WHEN OLD.used IS NOT NEW.used THEN 'used=' || quote(NEW.used) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER choices_delete_kept AFTER DELETE ON choices
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'choices', 'project=' || quote(OLD.project) || char(31) || 'called=' || quote(OLD.called) || char(31), 'project=' || quote(OLD.project) || char(31) || 'called=' || quote(OLD.called) || char(31) || 'used=' || quote(OLD.used) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER thread_needs_insert_kept AFTER INSERT ON thread_needs
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'thread_needs', 'id=' || quote(NEW.id) || char(31), NULL, 'id=' || quote(NEW.id) || char(31) || 'project=' || quote(NEW.project) || char(31) || 'source=' || quote(NEW.source) || char(31) || 'thread=' || quote(NEW.thread) || char(31) || 'called=' || quote(NEW.called) || char(31) || 'class_index=' || quote(NEW.class_index) || char(31) || 'stitches=' || quote(NEW.stitches) || char(31) || 'strands=' || quote(NEW.strands) || char(31) || 'factor=' || quote(NEW.factor) || char(31) || 'low_mm=' || quote(NEW.low_mm) || char(31) || 'likely_mm=' || quote(NEW.likely_mm) || char(31) || 'high_mm=' || quote(NEW.high_mm) || char(31) || 'skeins=' || quote(NEW.skeins) || char(31) || 'putup_length_mm=' || quote(NEW.putup_length_mm) || char(31) || 'note=' || quote(NEW.note) || char(31) FROM open_act;
END;
CREATE TRIGGER thread_needs_update_kept AFTER UPDATE OF id, project, source, thread, called, class_index, stitches, strands, factor, low_mm, likely_mm, high_mm, skeins, putup_length_mm, note ON thread_needs
WHEN (1) AND (OLD.id IS NOT NEW.id OR OLD.project IS NOT NEW.project OR OLD.source IS NOT NEW.source OR OLD.thread IS NOT NEW.thread OR OLD.called IS NOT NEW.called OR OLD.class_index IS NOT NEW.class_index OR OLD.stitches IS NOT NEW.stitches OR OLD.strands IS NOT NEW.strands OR OLD.factor IS NOT NEW.factor OR OLD.low_mm IS NOT NEW.low_mm OR OLD.likely_mm IS NOT NEW.likely_mm OR OLD.high_mm IS NOT NEW.high_mm OR OLD.skeins IS NOT NEW.skeins OR OLD.putup_length_mm IS NOT NEW.putup_length_mm OR OLD.note IS NOT NEW.note) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'thread_needs', 'id=' || quote(NEW.id) || char(31), CASE WHEN OLD.id IS NOT NEW.id THEN 'id=' || quote(OLD.id) || char(31) ELSE '' END || CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(OLD.project) || char(31) ELSE '' END || CASE WHEN OLD.source IS NOT NEW.source THEN 'source=' || quote(OLD.source) || char(31) ELSE '' END || CASE WHEN OLD.thread IS NOT NEW.thread THEN 'thread=' || quote(OLD.thread) || char(31) ELSE '' END || CASE WHEN OLD.called IS NOT NEW.called THEN 'called=' || quote(OLD.called) || char(31) ELSE '' END || CASE WHEN OLD.class_index IS NOT NEW.class_index THEN 'class_index=' || quote(OLD.class_index) || char(31) ELSE '' END || CASE WHEN OLD.stitches IS NOT NEW.stitches THEN 'stitches=' || quote(OLD.stitches) || char(31) ELSE '' END || CASE WHEN OLD.strands IS NOT NEW.strands THEN 'strands=' || quote(OLD.strands) || char(31) ELSE '' END || CASE WHEN OLD.factor IS NOT NEW.factor THEN 'factor=' || quote(OLD.factor) || char(31) ELSE '' END || CASE WHEN OLD.low_mm IS NOT NEW.low_mm THEN 'low_mm=' || quote(OLD.low_mm) || char(31) ELSE '' END || CASE WHEN OLD.likely_mm IS NOT NEW.likely_mm THEN 'likely_mm=' || quote(OLD.likely_mm) || char(31) ELSE '' END || CASE WHEN OLD.high_mm IS NOT NEW.high_mm THEN 'high_mm=' || quote(OLD.high_mm) || char(31) ELSE '' END || CASE WHEN OLD.skeins IS NOT NEW.skeins THEN 'skeins=' || quote(OLD.skeins) || char(31) ELSE '' END || CASE WHEN OLD.putup_length_mm IS NOT NEW.putup_length_mm THEN 'putup_length_mm=' || quote(OLD.putup_length_mm) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(OLD.note) || char(31) ELSE '' END, CASE WHEN OLD.id IS NOT NEW.id THEN 'id=' || quote(NEW.id) || char(31) ELSE '' END || CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(NEW.project) || char(31) ELSE '' END || CASE WHEN OLD.source IS NOT NEW.source THEN 'source=' || quote(NEW.source) || char(31) ELSE '' END || CASE WHEN OLD.thread IS NOT NEW.thread THEN 'thread=' || quote(NEW.thread) || char(31) ELSE '' END || CASE WHEN OLD.called IS NOT NEW.called THEN 'called=' || quote(NEW.called) || char(31) ELSE '' END || CASE WHEN OLD.class_index IS NOT NEW.class_index THEN 'class_index=' || quote(NEW.class_index) || char(31) ELSE '' END || CASE WHEN OLD.stitches IS NOT NEW.stitches THEN 'stitches=' || quote(NEW.stitches) || char(31) ELSE '' END || CASE WHEN OLD.strands IS NOT NEW.strands THEN 'strands=' || quote(NEW.strands) || char(31) ELSE '' END || CASE WHEN OLD.factor IS NOT NEW.factor THEN 'factor=' || quote(NEW.factor) || char(31) ELSE '' END || CASE WHEN OLD.low_mm IS NOT NEW.low_mm THEN 'low_mm=' || quote(NEW.low_mm) || char(31) ELSE '' END || CASE WHEN OLD.likely_mm IS NOT NEW.likely_mm THEN 'likely_mm=' || quote(NEW.likely_mm) || char(31) ELSE '' END || CASE WHEN OLD.high_mm IS NOT NEW.high_mm THEN 'high_mm=' || quote(NEW.high_mm) || char(31) ELSE '' END || CASE WHEN OLD.skeins IS NOT NEW.skeins THEN 'skeins=' || quote(NEW.skeins) || char(31) ELSE '' END || CASE WHEN OLD.putup_length_mm IS NOT NEW.putup_length_mm THEN 'putup_length_mm=' || quote(NEW.putup_length_mm) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(NEW.note) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER thread_needs_delete_kept AFTER DELETE ON thread_needs
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'thread_needs', 'id=' || quote(OLD.id) || char(31), 'id=' || quote(OLD.id) || char(31) || 'project=' || quote(OLD.project) || char(31) || 'source=' || quote(OLD.source) || char(31) || 'thread=' || quote(OLD.thread) || char(31) || 'called=' || quote(OLD.called) || char(31) || 'class_index=' || quote(OLD.class_index) || char(31) || 'stitches=' || quote(OLD.stitches) || char(31) || 'strands=' || quote(OLD.strands) || char(31) || 'factor=' || quote(OLD.factor) || char(31) || 'low_mm=' || quote(OLD.low_mm) || char(31) || 'likely_mm=' || quote(OLD.likely_mm) || char(31) || 'high_mm=' || quote(OLD.high_mm) || char(31) || 'skeins=' || quote(OLD.skeins) || char(31) || 'putup_length_mm=' || quote(OLD.putup_length_mm) || char(31) || 'note=' || quote(OLD.note) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER notion_needs_insert_kept AFTER INSERT ON notion_needs
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'notion_needs', 'id=' || quote(NEW.id) || char(31), NULL, 'id=' || quote(NEW.id) || char(31) || 'project=' || quote(NEW.project) || char(31) || 'notion=' || quote(NEW.notion) || char(31) || 'amount=' || quote(NEW.amount) || char(31) || 'note=' || quote(NEW.note) || char(31) FROM open_act;
END;
CREATE TRIGGER notion_needs_update_kept AFTER UPDATE OF id, project, notion, amount, note ON notion_needs
WHEN (1) AND (OLD.id IS NOT NEW.id OR OLD.project IS NOT NEW.project OR OLD.notion IS NOT NEW.notion OR OLD.amount IS NOT NEW.amount OR OLD.note IS NOT NEW.note) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'notion_needs', 'id=' || quote(NEW.id) || char(31), CASE WHEN OLD.id IS NOT NEW.id THEN 'id=' || quote(OLD.id) || char(31) ELSE '' END || CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(OLD.project) || char(31) ELSE '' END || CASE WHEN OLD.notion IS NOT NEW.notion THEN 'notion=' || quote(OLD.notion) || char(31) ELSE '' END || CASE WHEN OLD.amount IS NOT NEW.amount THEN 'amount=' || quote(OLD.amount) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(OLD.note) || char(31) ELSE '' END, CASE WHEN OLD.id IS NOT NEW.id THEN 'id=' || quote(NEW.id) || char(31) ELSE '' END || CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(NEW.project) || char(31) ELSE '' END || CASE WHEN OLD.notion IS NOT NEW.notion THEN 'notion=' || quote(NEW.notion) || char(31) ELSE '' END || CASE WHEN OLD.amount IS NOT NEW.amount THEN 'amount=' || quote(NEW.amount) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(NEW.note) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER notion_needs_delete_kept AFTER DELETE ON notion_needs
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'notion_needs', 'id=' || quote(OLD.id) || char(31), 'id=' || quote(OLD.id) || char(31) || 'project=' || quote(OLD.project) || char(31) || 'notion=' || quote(OLD.notion) || char(31) || 'amount=' || quote(OLD.amount) || char(31) || 'note=' || quote(OLD.note) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER fabric_needs_insert_kept AFTER INSERT ON fabric_needs
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'fabric_needs', 'id=' || quote(NEW.id) || char(31), NULL, 'id=' || quote(NEW.id) || char(31) || 'project=' || quote(NEW.project) || char(31) || 'source=' || quote(NEW.source) || char(31) || 'count=' || quote(NEW.count) || char(31) || 'colour=' || quote(NEW.colour) || char(31) || 'width_mm=' || quote(NEW.width_mm) || char(31) || 'height_mm=' || quote(NEW.height_mm) || char(31) || 'pieces=' || quote(NEW.pieces) || char(31) FROM open_act;
END;
CREATE TRIGGER fabric_needs_update_kept AFTER UPDATE OF id, project, source, count, colour, width_mm, height_mm, pieces ON fabric_needs
WHEN (1) AND (OLD.id IS NOT NEW.id OR OLD.project IS NOT NEW.project OR OLD.source IS NOT NEW.source OR OLD.count IS NOT NEW.count OR OLD.colour IS NOT NEW.colour OR OLD.width_mm IS NOT NEW.width_mm OR OLD.height_mm IS NOT NEW.height_mm OR OLD.pieces IS NOT NEW.pieces) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'fabric_needs', 'id=' || quote(NEW.id) || char(31), CASE WHEN OLD.id IS NOT NEW.id THEN 'id=' || quote(OLD.id) || char(31) ELSE '' END || CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(OLD.project) || char(31) ELSE '' END || CASE WHEN OLD.source IS NOT NEW.source THEN 'source=' || quote(OLD.source) || char(31) ELSE '' END || CASE WHEN OLD.count IS NOT NEW.count THEN 'count=' || quote(OLD.count) || char(31) ELSE '' END || CASE WHEN OLD.colour IS NOT NEW.colour THEN 'colour=' || quote(OLD.colour) || char(31) ELSE '' END || CASE WHEN OLD.width_mm IS NOT NEW.width_mm THEN 'width_mm=' || quote(OLD.width_mm) || char(31) ELSE '' END || CASE WHEN OLD.height_mm IS NOT NEW.height_mm THEN 'height_mm=' || quote(OLD.height_mm) || char(31) ELSE '' END || CASE WHEN OLD.pieces IS NOT NEW.pieces THEN 'pieces=' || quote(OLD.pieces) || char(31) ELSE '' END, CASE WHEN OLD.id IS NOT NEW.id THEN 'id=' || quote(NEW.id) || char(31) ELSE '' END || CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(NEW.project) || char(31) ELSE '' END || CASE WHEN OLD.source IS NOT NEW.source THEN 'source=' || quote(NEW.source) || char(31) ELSE '' END || CASE WHEN OLD.count IS NOT NEW.count THEN 'count=' || quote(NEW.count) || char(31) ELSE '' END || CASE WHEN OLD.colour IS NOT NEW.colour THEN 'colour=' || quote(NEW.colour) || char(31) ELSE '' END || CASE WHEN OLD.width_mm IS NOT NEW.width_mm THEN 'width_mm=' || quote(NEW.width_mm) || char(31) ELSE '' END || CASE WHEN OLD.height_mm IS NOT NEW.height_mm THEN 'height_mm=' || quote(NEW.height_mm) || char(31) ELSE '' END || CASE WHEN OLD.pieces IS NOT NEW.pieces THEN 'pieces=' || quote(NEW.pieces) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER fabric_needs_delete_kept AFTER DELETE ON fabric_needs
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'fabric_needs', 'id=' || quote(OLD.id) || char(31), 'id=' || quote(OLD.id) || char(31) || 'project=' || quote(OLD.project) || char(31) || 'source=' || quote(OLD.source) || char(31) || 'count=' || quote(OLD.count) || char(31) || 'colour=' || quote(OLD.colour) || char(31) || 'width_mm=' || quote(OLD.width_mm) || char(31) || 'height_mm=' || quote(OLD.height_mm) || char(31) || 'pieces=' || quote(OLD.pieces) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER fabric_prices_insert_kept AFTER INSERT ON fabric_prices
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'fabric_prices', 'count=' || quote(NEW.count) || char(31) || 'colour=' || quote(NEW.colour) || char(31), NULL, 'count=' || quote(NEW.count) || char(31) || 'colour=' || quote(NEW.colour) || char(31) || 'price_per_m2=' || quote(NEW.price_per_m2) || char(31) FROM open_act;
END;
CREATE TRIGGER fabric_prices_update_kept AFTER UPDATE OF count, colour, price_per_m2 ON fabric_prices
WHEN (1) AND (OLD.count IS NOT NEW.count OR OLD.colour IS NOT NEW.colour OR OLD.price_per_m2 IS NOT NEW.price_per_m2) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'fabric_prices', 'count=' || quote(NEW.count) || char(31) || 'colour=' || quote(NEW.colour) || char(31), CASE WHEN OLD.count IS NOT NEW.count THEN 'count=' || quote(OLD.count) || char(31) ELSE '' END || CASE WHEN OLD.colour IS NOT NEW.colour THEN 'colour=' || quote(OLD.colour) || char(31) ELSE '' END || CASE WHEN OLD.price_per_m2 IS NOT NEW.price_per_m2 THEN 'price_per_m2=' || quote(OLD.price_per_m2) || char(31) ELSE '' END, CASE WHEN OLD.count IS NOT NEW.count THEN 'count=' || quote(NEW.count) || char(31) ELSE '' END || CASE WHEN OLD.colour IS NOT NEW.colour THEN 'colour=' || quote(NEW.colour) || char(31) ELSE '' END || CASE WHEN OLD.price_per_m2 IS NOT NEW.price_per_m2 THEN 'price_per_m2=' || quote(NEW.price_per_m2) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER fabric_prices_delete_kept AFTER DELETE ON fabric_prices
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'fabric_prices', 'count=' || quote(OLD.count) || char(31) || 'colour=' || quote(OLD.colour) || char(31), 'count=' || quote(OLD.count) || char(31) || 'colour=' || quote(OLD.colour) || char(31) || 'price_per_m2=' || quote(OLD.price_per_m2) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER wishes_insert_kept AFTER INSERT ON wishes
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'wishes', 'id=' || quote(NEW.id) || char(31), NULL, 'id=' || quote(NEW.id) || char(31) || 'thread=' || quote(NEW.thread) || char(31) || 'words=' || quote(NEW.words) || char(31) || 'amount=' || quote(NEW.amount) || char(31) || 'note=' || quote(NEW.note) || char(31) FROM open_act;
END;
CREATE TRIGGER wishes_update_kept AFTER UPDATE OF id, thread, words, amount, note ON wishes
WHEN (1) AND (OLD.id IS NOT NEW.id OR OLD.thread IS NOT NEW.thread OR OLD.words IS NOT NEW.words OR OLD.amount IS NOT NEW.amount OR OLD.note IS NOT NEW.note) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'wishes', 'id=' || quote(NEW.id) || char(31), CASE WHEN OLD.id IS NOT NEW.id THEN 'id=' || quote(OLD.id) || char(31) ELSE '' END || CASE WHEN OLD.thread IS NOT NEW.thread THEN 'thread=' || quote(OLD.thread) || char(31) ELSE '' END || CASE WHEN OLD.words IS NOT NEW.words THEN 'words=' || quote(OLD.words) || char(31) ELSE '' END || CASE WHEN OLD.amount IS NOT NEW.amount THEN 'amount=' || quote(OLD.amount) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(OLD.note) || char(31) ELSE '' END, CASE WHEN OLD.id IS NOT NEW.id THEN 'id=' || quote(NEW.id) || char(31) ELSE '' END || CASE WHEN OLD.thread IS NOT NEW.thread THEN 'thread=' || quote(NEW.thread) || char(31) ELSE '' END || CASE WHEN OLD.words IS NOT NEW.words THEN 'words=' || quote(NEW.words) || char(31) ELSE '' END || CASE WHEN OLD.amount IS NOT NEW.amount THEN 'amount=' || quote(NEW.amount) || char(31) ELSE '' END || CASE WHEN OLD.note IS NOT NEW.note THEN 'note=' || quote(NEW.note) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER wishes_delete_kept AFTER DELETE ON wishes
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'wishes', 'id=' || quote(OLD.id) || char(31), 'id=' || quote(OLD.id) || char(31) || 'thread=' || quote(OLD.thread) || char(31) || 'words=' || quote(OLD.words) || char(31) || 'amount=' || quote(OLD.amount) || char(31) || 'note=' || quote(OLD.note) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER settings_insert_kept AFTER INSERT ON settings
WHEN (NEW.key LIKE 'rule.%') AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'settings', 'key=' || quote(NEW.key) || char(31), NULL, 'key=' || quote(NEW.key) || char(31) || 'value=' || quote(NEW.value) || char(31) FROM open_act;
END;
CREATE TRIGGER settings_update_kept AFTER UPDATE OF key, value ON settings
WHEN (NEW.key LIKE 'rule.%') AND (OLD.key IS NOT NEW.key OR OLD.value IS NOT NEW.value) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'settings', 'key=' || quote(NEW.key) || char(31), CASE WHEN OLD.key IS NOT NEW.key THEN 'key=' || quote(OLD.key) || char(31) ELSE '' END || CASE WHEN OLD.value IS NOT NEW.value THEN 'value=' || quote(OLD.value) || char(31) ELSE '' END, CASE WHEN OLD.key IS NOT NEW.key THEN 'key=' || quote(NEW.key) || char(31) ELSE '' END || CASE WHEN OLD.value IS NOT NEW.value THEN 'value=' || quote(NEW.value) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER settings_delete_kept AFTER DELETE ON settings
WHEN (OLD.key LIKE 'rule.%') AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'settings', 'key=' || quote(OLD.key) || char(31), 'key=' || quote(OLD.key) || char(31) || 'value=' || quote(OLD.value) || char(31), NULL FROM open_act;
END;
COMMIT;
