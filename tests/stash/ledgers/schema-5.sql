-- What sqlite3's dump wrote of a ledger of schema 5 that its own commands had filled.
PRAGMA application_id = 1129534257;
PRAGMA user_version = 5;
BEGIN TRANSACTION;
CREATE TABLE acts (
    id INTEGER PRIMARY KEY,
    time TEXT NOT NULL,
    name TEXT NOT NULL,
    note TEXT NOT NULL DEFAULT '',
    reverses INTEGER UNIQUE REFERENCES acts
, project INTEGER REFERENCES projects, from_state TEXT, to_state TEXT) STRICT;
INSERT INTO "acts" VALUES(1,'2026-11-29T14:13:07.005062Z','imported','stash',NULL,NULL,NULL,NULL);
INSERT INTO "acts" VALUES(2,'2026-11-29T14:13:10.740984Z','planned','',NULL,4,NULL,NULL);
INSERT INTO "acts" VALUES(3,'2026-11-29T14:13:10.818532Z','chose','',NULL,4,NULL,NULL);
INSERT INTO "acts" VALUES(4,'2026-11-29T14:13:13.510249Z','changed','',NULL,4,NULL,NULL);
INSERT INTO "acts" VALUES(5,'2026-11-29T14:13:14.738825Z','chose','',NULL,4,NULL,NULL);
INSERT INTO "acts" VALUES(6,'2026-11-29T14:13:15.555224Z','kitted','',NULL,1,'planned','kitted');
INSERT INTO "acts" VALUES(7,'2026-11-29T14:13:16.571607Z','started','',NULL,1,'kitted','in work');
INSERT INTO "acts" VALUES(8,'2026-11-29T14:13:19.390446Z','wished','',NULL,NULL,NULL,NULL);
INSERT INTO "acts" VALUES(9,'2026-11-29T14:13:20.530057Z','undone','',7,1,'in work','kitted');
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
INSERT INTO "balances" VALUES(3,'skein',2,1,0);
INSERT INTO "balances" VALUES(4,'part',3,3000,0);
INSERT INTO "balances" VALUES(5,'skein',4,3,0);
INSERT INTO "balances" VALUES(6,'skein',5,4,0);
INSERT INTO "balances" VALUES(7,'skein',6,4,0);
INSERT INTO "balances" VALUES(8,'part',6,5800,0);
INSERT INTO "balances" VALUES(9,'skein',7,2,0);
INSERT INTO "balances" VALUES(10,'part',7,7500,0);
INSERT INTO "balances" VALUES(11,'part',8,7400,0);
INSERT INTO "balances" VALUES(12,'skein',9,4,0);
INSERT INTO "balances" VALUES(13,'skein',10,4,0);
INSERT INTO "balances" VALUES(14,'skein',11,4,0);
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
INSERT INTO "balances" VALUES(31,'skein',25,3,2);
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
INSERT INTO "balances" VALUES(63,'part',46,4700,0);
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
INSERT INTO "balances" VALUES(126,'piece',NULL,1,1);
INSERT INTO "balances" VALUES(127,'piece',NULL,1,0);
INSERT INTO "balances" VALUES(128,'piece',NULL,1,0);
INSERT INTO "balances" VALUES(129,'piece',NULL,1,0);
INSERT INTO "balances" VALUES(130,'piece',NULL,1,0);
INSERT INTO "balances" VALUES(131,'notion',NULL,6000,0);
INSERT INTO "balances" VALUES(132,'notion',NULL,3000,0);
INSERT INTO "balances" VALUES(133,'notion',NULL,4000,0);
INSERT INTO "balances" VALUES(134,'chart',NULL,1,1);
INSERT INTO "balances" VALUES(135,'chart',NULL,1,0);
INSERT INTO "balances" VALUES(136,'chart',NULL,0,0);
INSERT INTO "balances" VALUES(137,'chart',NULL,0,0);
CREATE TABLE changes (
    id INTEGER PRIMARY KEY,
    act INTEGER NOT NULL REFERENCES acts,
    place TEXT NOT NULL,
    row TEXT NOT NULL,
    before TEXT,
    after TEXT,
    CHECK (before IS NOT NULL OR after IS NOT NULL)
) STRICT;
INSERT INTO "changes" VALUES(1,1,'fabric_prices','count=14.0colour=''snow''',NULL,'count=14.0colour=''snow''price_per_m2=2400');
INSERT INTO "changes" VALUES(2,1,'fabric_prices','count=28.0colour=''ivory''',NULL,'count=28.0colour=''ivory''price_per_m2=5800');
INSERT INTO "changes" VALUES(3,1,'project_charts','project=1part=1',NULL,'project=1part=1chart=134');
INSERT INTO "changes" VALUES(4,1,'project_charts','project=2part=1',NULL,'project=2part=1chart=135');
INSERT INTO "changes" VALUES(5,1,'project_charts','project=3part=1',NULL,'project=3part=1chart=136');
INSERT INTO "changes" VALUES(6,1,'notion_needs','id=1',NULL,'id=1project=2notion=131amount=10000note=''''');
INSERT INTO "changes" VALUES(7,1,'notion_needs','id=2',NULL,'id=2project=2notion=132amount=2500note=''10 cm each''');
INSERT INTO "changes" VALUES(8,1,'threads','id=7','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=3.48140909517784180593e+01lab_a=2.86366419367680151708e+01lab_b=1.20855914508481649956e+01');
INSERT INTO "changes" VALUES(9,1,'thread_needs','id=1',NULL,'id=1project=2source=''chart''thread=7called=7class_index=1stitches=4700strands=''2''factor=1.0low_mm=107767likely_mm=117350high_mm=129858skeins=3putup_length_mm=21643note=''''');
INSERT INTO "changes" VALUES(10,1,'threads','id=46','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=2.75339279876655353964e+01lab_a=-7.77487981919253190454e+00lab_b=1.03245946413738849396e+01');
INSERT INTO "changes" VALUES(11,1,'thread_needs','id=2',NULL,'id=2project=2source=''chart''thread=46called=46class_index=2stitches=2725strands=''2''factor=1.0low_mm=62906likely_mm=68663high_mm=75900skeins=2putup_length_mm=12650note=''''');
INSERT INTO "changes" VALUES(12,1,'thread_needs','id=3',NULL,'id=3project=2source=''chart''thread=96called=96class_index=3stitches=2400strands=''2''factor=1.0low_mm=59904likely_mm=65249high_mm=72259skeins=2putup_length_mm=12044note=''''');
INSERT INTO "changes" VALUES(13,1,'fabric_needs','id=1',NULL,'id=1project=2source=''chart''count=14.0colour=''snow''width_mm=100height_mm=100pieces=25');
INSERT INTO "changes" VALUES(14,1,'threads','id=1','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=8.93594175195776756464e+01lab_a=5.63319569641795858672e+00lab_b=3.82187478068618524673e-01');
INSERT INTO "changes" VALUES(15,1,'thread_needs','id=4',NULL,'id=4project=3source=''chart''thread=1called=1class_index=1stitches=417strands=''2''factor=1.0low_mm=9328likely_mm=10241high_mm=11274skeins=1putup_length_mm=1879note=''''');
INSERT INTO "changes" VALUES(16,1,'threads','id=3','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=6.25533158457042901554e+01lab_a=1.66795960370202962503e+01lab_b=-6.82412400381937622739e-01');
INSERT INTO "changes" VALUES(17,1,'thread_needs','id=5',NULL,'id=5project=3source=''chart''thread=3called=3class_index=2stitches=272strands=''2''factor=1.0low_mm=6156likely_mm=6757high_mm=7457skeins=1putup_length_mm=1243note=''''');
INSERT INTO "changes" VALUES(18,1,'thread_needs','id=6',NULL,'id=6project=3source=''chart''thread=7called=7class_index=3stitches=328strands=''2''factor=1.0low_mm=7262likely_mm=7867high_mm=8760skeins=1putup_length_mm=1460note=''''');
INSERT INTO "changes" VALUES(19,1,'thread_needs','id=7',NULL,'id=7project=3source=''chart''thread=97called=97class_index=4stitches=352strands=''2''factor=1.0low_mm=7771likely_mm=8518high_mm=9388skeins=1putup_length_mm=1565note=''''');
INSERT INTO "changes" VALUES(20,1,'threads','id=14','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=8.55123390641187484072e+01lab_a=5.25211169680994682806e+00lab_b=6.34417871082204598565e+00');
INSERT INTO "changes" VALUES(21,1,'thread_needs','id=8',NULL,'id=8project=3source=''chart''thread=14called=14class_index=5stitches=358strands=''2''factor=1.0low_mm=7900likely_mm=8625high_mm=9556skeins=1putup_length_mm=1593note=''''');
INSERT INTO "changes" VALUES(22,1,'threads','id=19','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=4.5912960692934710492e+01lab_a=3.1332476943855379404e+01lab_b=4.9985855161989377394e+01');
INSERT INTO "changes" VALUES(23,1,'thread_needs','id=9',NULL,'id=9project=3source=''chart''thread=19called=19class_index=6stitches=368strands=''2''factor=1.0low_mm=8121likely_mm=8805high_mm=9799skeins=1putup_length_mm=1634note=''''');
INSERT INTO "changes" VALUES(24,1,'threads','id=23','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=9.2737544934127782879e+01lab_a=2.43391029596973229587e+00lab_b=8.50866786555046772377e+00');
INSERT INTO "changes" VALUES(25,1,'thread_needs','id=10',NULL,'id=10project=3source=''chart''thread=23called=23class_index=7stitches=368strands=''2''factor=1.0low_mm=8110likely_mm=8805high_mm=9801skeins=1putup_length_mm=1634note=''''');
INSERT INTO "changes" VALUES(26,1,'threads','id=25','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=2.19622647491363167651e+01lab_a=5.52303937088694lab_b=1.73027349805752734819e+01');
INSERT INTO "changes" VALUES(27,1,'thread_needs','id=11',NULL,'id=11project=3source=''chart''thread=25called=25class_index=8stitches=361strands=''2''factor=1.0low_mm=7975likely_mm=8679high_mm=9620skeins=1putup_length_mm=1604note=''''');
INSERT INTO "changes" VALUES(28,1,'thread_needs','id=12',NULL,'id=12project=3source=''chart''thread=98called=98class_index=9stitches=353strands=''2''factor=1.0low_mm=7794likely_mm=8536high_mm=9407skeins=1putup_length_mm=1568note=''''');
INSERT INTO "changes" VALUES(29,1,'thread_needs','id=13',NULL,'id=13project=3source=''chart''thread=99called=99class_index=10stitches=362strands=''2''factor=1.0low_mm=7987likely_mm=8697high_mm=9655skeins=1putup_length_mm=1610note=''''');
INSERT INTO "changes" VALUES(30,1,'thread_needs','id=14',NULL,'id=14project=3source=''chart''thread=100called=100class_index=11stitches=352strands=''2''factor=1.0low_mm=7771likely_mm=8518high_mm=9394skeins=1putup_length_mm=1566note=''''');
INSERT INTO "changes" VALUES(31,1,'thread_needs','id=15',NULL,'id=15project=3source=''chart''thread=101called=101class_index=12stitches=350strands=''2''factor=1.0low_mm=7731likely_mm=8482high_mm=9327skeins=1putup_length_mm=1555note=''''');
INSERT INTO "changes" VALUES(32,1,'threads','id=44','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=4.4613725560034069419e+01lab_a=-3.88708066324145420358e+01lab_b=4.4269956238457083943e+01');
INSERT INTO "changes" VALUES(33,1,'thread_needs','id=16',NULL,'id=16project=3source=''chart''thread=44called=44class_index=13stitches=345strands=''2''factor=1.0low_mm=7613likely_mm=8392high_mm=9191skeins=1putup_length_mm=1532note=''''');
INSERT INTO "changes" VALUES(34,1,'thread_needs','id=17',NULL,'id=17project=3source=''chart''thread=46called=46class_index=14stitches=351strands=''2''factor=1.0low_mm=7749likely_mm=8500high_mm=9373skeins=1putup_length_mm=1563note=''''');
INSERT INTO "changes" VALUES(35,1,'thread_needs','id=18',NULL,'id=18project=3source=''chart''thread=102called=102class_index=15stitches=352strands=''2''factor=1.0low_mm=7760likely_mm=8518high_mm=9391skeins=1putup_length_mm=1566note=''''');
INSERT INTO "changes" VALUES(36,1,'thread_needs','id=19',NULL,'id=19project=3source=''chart''thread=103called=103class_index=16stitches=352strands=''2''factor=1.0low_mm=7769likely_mm=8518high_mm=9392skeins=1putup_length_mm=1566note=''''');
INSERT INTO "changes" VALUES(37,1,'threads','id=57','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=2.45123812126935618498e+01lab_a=-1.99568937523351692675e+01lab_b=1.14270573760084648284e+00');
INSERT INTO "changes" VALUES(38,1,'thread_needs','id=20',NULL,'id=20project=3source=''chart''thread=57called=57class_index=17stitches=365strands=''2''factor=1.0low_mm=8056likely_mm=8751high_mm=9713skeins=1putup_length_mm=1619note=''''');
INSERT INTO "changes" VALUES(39,1,'thread_needs','id=21',NULL,'id=21project=3source=''chart''thread=104called=104class_index=18stitches=363strands=''2''factor=1.0low_mm=8002likely_mm=8715high_mm=9676skeins=1putup_length_mm=1613note=''''');
INSERT INTO "changes" VALUES(40,1,'thread_needs','id=22',NULL,'id=22project=3source=''chart''thread=105called=105class_index=19stitches=362strands=''2''factor=1.0low_mm=7979likely_mm=8697high_mm=9644skeins=1putup_length_mm=1608note=''''');
INSERT INTO "changes" VALUES(41,1,'threads','id=63','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=8.96697695799653615722e+01lab_a=-1.96177520324175569399e+00lab_b=-5.63868849481501399623e+00');
INSERT INTO "changes" VALUES(42,1,'thread_needs','id=23',NULL,'id=23project=3source=''chart''thread=63called=63class_index=20stitches=367strands=''2''factor=1.0low_mm=8099likely_mm=8787high_mm=9783skeins=1putup_length_mm=1631note=''''');
INSERT INTO "changes" VALUES(43,1,'threads','id=67','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=6.2551617655801578623e+01lab_a=-5.55096738784838272806e+00lab_b=-1.01997632539942983953e+01');
INSERT INTO "changes" VALUES(44,1,'thread_needs','id=24',NULL,'id=24project=3source=''chart''thread=67called=67class_index=21stitches=375strands=''2''factor=1.0low_mm=8274likely_mm=8931high_mm=9973skeins=1putup_length_mm=1663note=''''');
INSERT INTO "changes" VALUES(45,1,'thread_needs','id=25',NULL,'id=25project=3source=''chart''thread=96called=96class_index=22stitches=358strands=''2''factor=1.0low_mm=7901likely_mm=8625high_mm=9543skeins=1putup_length_mm=1591note=''''');
INSERT INTO "changes" VALUES(46,1,'thread_needs','id=26',NULL,'id=26project=3source=''chart''thread=106called=106class_index=23stitches=370strands=''2''factor=1.0low_mm=8163likely_mm=8841high_mm=9850skeins=1putup_length_mm=1642note=''''');
INSERT INTO "changes" VALUES(47,1,'threads','id=72','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=5.65288944358145073465e+01lab_a=3.86281481665859942609e+01lab_b=-5.93906970146653065975e+01');
INSERT INTO "changes" VALUES(48,1,'thread_needs','id=27',NULL,'id=27project=3source=''chart''thread=72called=72class_index=24stitches=371strands=''2''factor=1.0low_mm=8190likely_mm=8859high_mm=9884skeins=1putup_length_mm=1648note=''''');
INSERT INTO "changes" VALUES(49,1,'threads','id=77','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=2.81057483670761598659e+01lab_a=6.27700886188706252966e+00lab_b=-1.28449314545356898522e+01');
INSERT INTO "changes" VALUES(50,1,'thread_needs','id=28',NULL,'id=28project=3source=''chart''thread=77called=77class_index=25stitches=367strands=''2''factor=1.0low_mm=8097likely_mm=8787high_mm=9775skeins=1putup_length_mm=1630note=''''');
INSERT INTO "changes" VALUES(51,1,'thread_needs','id=29',NULL,'id=29project=3source=''chart''thread=107called=107class_index=26stitches=363strands=''2''factor=1.0low_mm=8007likely_mm=8715high_mm=9669skeins=1putup_length_mm=1612note=''''');
INSERT INTO "changes" VALUES(52,1,'threads','id=81','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=3.51889888889340411996e+01lab_a=2.68771137527224475145e+01lab_b=-7.93648708452592277495e+00');
INSERT INTO "changes" VALUES(53,1,'thread_needs','id=30',NULL,'id=30project=3source=''chart''thread=81called=81class_index=27stitches=360strands=''2''factor=1.0low_mm=7958likely_mm=8661high_mm=9593skeins=1putup_length_mm=1599note=''''');
INSERT INTO "changes" VALUES(54,1,'threads','id=85','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=3.5572597103444657308e+01lab_a=2.85777951815585637982e+01lab_b=-2.83267775169159241599e+00');
INSERT INTO "changes" VALUES(55,1,'thread_needs','id=31',NULL,'id=31project=3source=''chart''thread=85called=85class_index=28stitches=319strands=''2''factor=1.0low_mm=7038likely_mm=7705high_mm=8535skeins=1putup_length_mm=1423note=''''');
INSERT INTO "changes" VALUES(56,1,'threads','id=88','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=22.680267122108lab_a=2.078833164614046769e-01lab_b=0.782646803721776');
INSERT INTO "changes" VALUES(57,1,'thread_needs','id=32',NULL,'id=32project=3source=''chart''thread=88called=88class_index=29stitches=240strands=''2''factor=1.0low_mm=5592likely_mm=6079high_mm=6782skeins=1putup_length_mm=1131note=''''');
INSERT INTO "changes" VALUES(58,1,'thread_needs','id=33',NULL,'id=33project=3source=''chart''thread=108called=108class_index=30stitches=360strands=''2''factor=1.0low_mm=8079likely_mm=8778high_mm=9763skeins=1putup_length_mm=1628note=''''');
INSERT INTO "changes" VALUES(59,1,'fabric_needs','id=2',NULL,'id=2project=3source=''chart''count=28.0colour=''ivory''width_mm=368height_mm=314pieces=1');
INSERT INTO "changes" VALUES(60,1,'thread_needs','id=34',NULL,'id=34project=1source=''chart''thread=25called=25class_index=1stitches=2506strands=''2''factor=1.0low_mm=55636likely_mm=60613high_mm=66972skeins=2putup_length_mm=11162note=''''');
INSERT INTO "changes" VALUES(61,1,'fabric_needs','id=3',NULL,'id=3project=1source=''chart''count=28.0colour=''ivory''width_mm=259height_mm=477pieces=1');
INSERT INTO "changes" VALUES(62,2,'project_charts','project=4part=1',NULL,'project=4part=1chart=137');
INSERT INTO "changes" VALUES(63,3,'class_threads','project=4part=1place=1',NULL,'project=4part=1place=1kind=''stitch''hex=''#20527a''symbol=NULLcell_row=85cell_column=15called=109second=NULLkeyed=0');
INSERT INTO "changes" VALUES(64,3,'threads','id=89','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=5.90364591411248795793e+01lab_a=1.30785561292745544648e+00lab_b=4.6595353191559718553e+00');
INSERT INTO "changes" VALUES(65,3,'class_threads','project=4part=1place=2',NULL,'project=4part=1place=2kind=''stitch''hex=''#989088''symbol=NULLcell_row=73cell_column=26called=89second=NULLkeyed=0');
INSERT INTO "changes" VALUES(66,3,'class_threads','project=4part=1place=3',NULL,'project=4part=1place=3kind=''stitch''hex=''#6a99a8''symbol=NULLcell_row=68cell_column=2called=110second=NULLkeyed=0');
INSERT INTO "changes" VALUES(67,3,'class_threads','project=4part=1place=4',NULL,'project=4part=1place=4kind=''stitch''hex=''#625b56''symbol=NULLcell_row=73cell_column=53called=111second=NULLkeyed=0');
INSERT INTO "changes" VALUES(68,3,'threads','id=65','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=4.53386993665631905531e+01lab_a=-1.17571718474612225686e+01lab_b=-2.58914993166118101441e+01');
INSERT INTO "changes" VALUES(69,3,'class_threads','project=4part=1place=5',NULL,'project=4part=1place=5kind=''stitch''hex=''#247498''symbol=NULLcell_row=76cell_column=2called=65second=NULLkeyed=0');
INSERT INTO "changes" VALUES(70,3,'threads','id=29','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=93.6205610201856lab_a=1.4409728262887444572e-02lab_b=8.71539546051845');
INSERT INTO "changes" VALUES(71,3,'class_threads','project=4part=1place=6',NULL,'project=4part=1place=6kind=''stitch''hex=''#f0e8d6''symbol=NULLcell_row=30cell_column=33called=29second=NULLkeyed=0');
INSERT INTO "changes" VALUES(72,3,'threads','id=30','lab_l=NULLlab_a=NULLlab_b=NULL','lab_l=8.3078764520248810756e+01lab_a=-2.96658028784102523189e+00lab_b=2.60382436501471978837e+01');
INSERT INTO "changes" VALUES(73,3,'class_threads','project=4part=1place=7',NULL,'project=4part=1place=7kind=''stitch''hex=''#e0d09e''symbol=NULLcell_row=16cell_column=8called=30second=NULLkeyed=0');
INSERT INTO "changes" VALUES(74,3,'class_threads','project=4part=1place=8',NULL,'project=4part=1place=8kind=''stitch''hex=''#ca3832''symbol=NULLcell_row=39cell_column=33called=112second=NULLkeyed=0');
INSERT INTO "changes" VALUES(75,3,'class_threads','project=4part=1place=9',NULL,'project=4part=1place=9kind=''stitch''hex=''#e2c89a''symbol=NULLcell_row=30cell_column=43called=113second=NULLkeyed=0');
INSERT INTO "changes" VALUES(76,3,'class_threads','project=4part=1place=10',NULL,'project=4part=1place=10kind=''stitch''hex=''#9a2228''symbol=NULLcell_row=12cell_column=40called=114second=NULLkeyed=0');
INSERT INTO "changes" VALUES(77,3,'class_threads','project=4part=1place=11',NULL,'project=4part=1place=11kind=''stitch''hex=''#3c4152''symbol=NULLcell_row=8cell_column=40called=115second=NULLkeyed=0');
INSERT INTO "changes" VALUES(78,3,'class_threads','project=4part=1place=12',NULL,'project=4part=1place=12kind=''stitch''hex=''#bacbd6''symbol=NULLcell_row=6cell_column=60called=116second=NULLkeyed=0');
INSERT INTO "changes" VALUES(79,3,'class_threads','project=4part=1place=13',NULL,'project=4part=1place=13kind=''stitch''hex=''#dcac52''symbol=NULLcell_row=19cell_column=36called=117second=NULLkeyed=0');
INSERT INTO "changes" VALUES(80,3,'class_threads','project=4part=1place=14',NULL,'project=4part=1place=14kind=''stitch''hex=''#729864''symbol=NULLcell_row=71cell_column=26called=118second=NULLkeyed=0');
INSERT INTO "changes" VALUES(81,3,'class_threads','project=4part=1place=15',NULL,'project=4part=1place=15kind=''stitch''hex=''#c87e9c''symbol=NULLcell_row=72cell_column=25called=119second=NULLkeyed=0');
INSERT INTO "changes" VALUES(82,4,'projects','id=4','fabric_count=NULL','fabric_count=28.0');
INSERT INTO "changes" VALUES(83,4,'projects','id=4','fabric_over=1','fabric_over=2');
INSERT INTO "changes" VALUES(84,4,'thread_needs','id=35',NULL,'id=35project=4source=''chart''thread=109called=109class_index=1stitches=686strands=''2''factor=1.0low_mm=15074likely_mm=16496high_mm=18174skeins=1putup_length_mm=3029note=''''');
INSERT INTO "changes" VALUES(85,4,'thread_needs','id=36',NULL,'id=36project=4source=''chart''thread=89called=89class_index=2stitches=465strands=''2''factor=1.0low_mm=10227likely_mm=11207high_mm=12341skeins=1putup_length_mm=2057note=''''');
INSERT INTO "changes" VALUES(86,4,'thread_needs','id=37',NULL,'id=37project=4source=''chart''thread=110called=110class_index=3stitches=427strands=''2''factor=1.0low_mm=9551likely_mm=10421high_mm=11532skeins=1putup_length_mm=1922note=''''');
INSERT INTO "changes" VALUES(87,4,'thread_needs','id=38',NULL,'id=38project=4source=''chart''thread=111called=111class_index=4stitches=398strands=''2''factor=1.0low_mm=8776likely_mm=9564high_mm=10592skeins=1putup_length_mm=1766note=''''');
INSERT INTO "changes" VALUES(88,4,'thread_needs','id=39',NULL,'id=39project=4source=''chart''thread=65called=65class_index=5stitches=319strands=''2''factor=1.0low_mm=7196likely_mm=7821high_mm=8712skeins=1putup_length_mm=1452note=''''');
INSERT INTO "changes" VALUES(89,4,'thread_needs','id=40',NULL,'id=40project=4source=''chart''thread=29called=29class_index=6stitches=240strands=''2''factor=1.0low_mm=5604likely_mm=6079high_mm=6799skeins=1putup_length_mm=1134note=''''');
INSERT INTO "changes" VALUES(90,4,'thread_needs','id=41',NULL,'id=41project=4source=''chart''thread=30called=30class_index=7stitches=234strands=''2''factor=1.0low_mm=5325likely_mm=5855high_mm=6467skeins=1putup_length_mm=1078note=''''');
INSERT INTO "changes" VALUES(91,4,'thread_needs','id=42',NULL,'id=42project=4source=''chart''thread=112called=112class_index=8stitches=196strands=''2''factor=1.0low_mm=4501likely_mm=4952high_mm=5467skeins=1putup_length_mm=912note=''''');
INSERT INTO "changes" VALUES(92,4,'thread_needs','id=43',NULL,'id=43project=4source=''chart''thread=113called=113class_index=9stitches=166strands=''2''factor=1.0low_mm=3966likely_mm=4310high_mm=4846skeins=1putup_length_mm=808note=''''');
INSERT INTO "changes" VALUES(93,4,'thread_needs','id=44',NULL,'id=44project=4source=''chart''thread=114called=114class_index=10stitches=163strands=''2''factor=1.0low_mm=3896likely_mm=4256high_mm=4787skeins=1putup_length_mm=798note=''''');
INSERT INTO "changes" VALUES(94,4,'thread_needs','id=45',NULL,'id=45project=4source=''chart''thread=115called=115class_index=11stitches=149strands=''2''factor=1.0low_mm=3653likely_mm=4055high_mm=4489skeins=1putup_length_mm=749note=''''');
INSERT INTO "changes" VALUES(95,4,'thread_needs','id=46',NULL,'id=46project=4source=''chart''thread=116called=116class_index=12stitches=117strands=''2''factor=1.0low_mm=3867likely_mm=4299high_mm=4927skeins=1putup_length_mm=822note=''''');
INSERT INTO "changes" VALUES(96,4,'thread_needs','id=47',NULL,'id=47project=4source=''chart''thread=117called=117class_index=13stitches=64strands=''2''factor=1.0low_mm=1485likely_mm=1586high_mm=1868skeins=1putup_length_mm=312note=''''');
INSERT INTO "changes" VALUES(97,4,'thread_needs','id=48',NULL,'id=48project=4source=''chart''thread=118called=118class_index=14stitches=54strands=''2''factor=1.0low_mm=1435likely_mm=1541high_mm=1796skeins=1putup_length_mm=300note=''''');
INSERT INTO "changes" VALUES(98,4,'thread_needs','id=49',NULL,'id=49project=4source=''chart''thread=119called=119class_index=15stitches=7strands=''2''factor=1.0low_mm=426likely_mm=490high_mm=554skeins=1putup_length_mm=93note=''''');
INSERT INTO "changes" VALUES(99,4,'fabric_needs','id=4',NULL,'id=4project=4source=''chart''count=28.0colour=''''width_mm=296height_mm=332pieces=1');
INSERT INTO "changes" VALUES(100,5,'choices','project=4called=112',NULL,'project=4called=112used=114reason=''less orange by lamplight''');
INSERT INTO "changes" VALUES(101,5,'thread_needs','id=42','thread=112','thread=114');
INSERT INTO "changes" VALUES(102,8,'wishes','id=1',NULL,'id=1thread=NULLwords=''silk, pale green''amount=NULLnote=''''');
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
INSERT INTO "charts" VALUES(134,'Band sampler','/home/me/stash/sampler.json','','','','green folder','',0,'band sampler');
INSERT INTO "charts" VALUES(135,'Frost star','/home/me/stash/ornament.json','Stars to hang','','12','shelf 2','',0,'frost star');
INSERT INTO "charts" VALUES(136,'Evening hills','/home/me/stash/picture.json','','','','','',0,'evening hills');
INSERT INTO "charts" VALUES(137,'lighthouse','/home/me/lighthouse.json','','','','','',0,'lighthouse');
CREATE TABLE choices (
    project INTEGER NOT NULL REFERENCES projects,
    called INTEGER NOT NULL REFERENCES threads,
    used INTEGER NOT NULL REFERENCES threads, reason TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (project, called)
) STRICT, WITHOUT ROWID;
INSERT INTO "choices" VALUES(4,112,114,'less orange by lamplight');
CREATE TABLE class_threads (
    project INTEGER NOT NULL REFERENCES projects,
    part INTEGER NOT NULL CHECK (part > 0),
    place INTEGER NOT NULL,
    kind TEXT NOT NULL,
    hex TEXT,
    symbol TEXT,
    cell_row INTEGER,
    cell_column INTEGER,
    called INTEGER NOT NULL REFERENCES threads,
    second INTEGER REFERENCES threads,
    keyed INTEGER NOT NULL DEFAULT 0 CHECK (keyed IN (0, 1)),
    PRIMARY KEY (project, part, place)
) STRICT, WITHOUT ROWID;
INSERT INTO "class_threads" VALUES(4,1,1,'stitch','#20527a',NULL,85,15,109,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,2,'stitch','#989088',NULL,73,26,89,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,3,'stitch','#6a99a8',NULL,68,2,110,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,4,'stitch','#625b56',NULL,73,53,111,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,5,'stitch','#247498',NULL,76,2,65,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,6,'stitch','#f0e8d6',NULL,30,33,29,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,7,'stitch','#e0d09e',NULL,16,8,30,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,8,'stitch','#ca3832',NULL,39,33,112,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,9,'stitch','#e2c89a',NULL,30,43,113,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,10,'stitch','#9a2228',NULL,12,40,114,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,11,'stitch','#3c4152',NULL,8,40,115,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,12,'stitch','#bacbd6',NULL,6,60,116,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,13,'stitch','#dcac52',NULL,19,36,117,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,14,'stitch','#729864',NULL,71,26,118,NULL,0);
INSERT INTO "class_threads" VALUES(4,1,15,'stitch','#c87e9c',NULL,72,25,119,NULL,0);
CREATE TABLE demands (
    thread INTEGER NOT NULL REFERENCES threads,
    project INTEGER NOT NULL REFERENCES projects,
    length_mm INTEGER NOT NULL,
    PRIMARY KEY (thread, project)
) STRICT, WITHOUT ROWID;
INSERT INTO "demands" VALUES(1,3,1879);
INSERT INTO "demands" VALUES(3,3,1243);
INSERT INTO "demands" VALUES(7,2,21643);
INSERT INTO "demands" VALUES(7,3,1460);
INSERT INTO "demands" VALUES(14,3,1593);
INSERT INTO "demands" VALUES(19,3,1634);
INSERT INTO "demands" VALUES(23,3,1634);
INSERT INTO "demands" VALUES(25,1,11162);
INSERT INTO "demands" VALUES(25,3,1604);
INSERT INTO "demands" VALUES(29,4,1134);
INSERT INTO "demands" VALUES(30,4,1078);
INSERT INTO "demands" VALUES(44,3,1532);
INSERT INTO "demands" VALUES(46,2,12650);
INSERT INTO "demands" VALUES(46,3,1563);
INSERT INTO "demands" VALUES(57,3,1619);
INSERT INTO "demands" VALUES(63,3,1631);
INSERT INTO "demands" VALUES(65,4,1452);
INSERT INTO "demands" VALUES(67,3,1663);
INSERT INTO "demands" VALUES(72,3,1648);
INSERT INTO "demands" VALUES(77,3,1630);
INSERT INTO "demands" VALUES(81,3,1599);
INSERT INTO "demands" VALUES(85,3,1423);
INSERT INTO "demands" VALUES(88,3,1131);
INSERT INTO "demands" VALUES(89,4,2057);
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
INSERT INTO "demands" VALUES(109,4,3029);
INSERT INTO "demands" VALUES(110,4,1922);
INSERT INTO "demands" VALUES(111,4,1766);
INSERT INTO "demands" VALUES(113,4,808);
INSERT INTO "demands" VALUES(114,4,1710);
INSERT INTO "demands" VALUES(115,4,749);
INSERT INTO "demands" VALUES(116,4,822);
INSERT INTO "demands" VALUES(117,4,312);
INSERT INTO "demands" VALUES(118,4,300);
INSERT INTO "demands" VALUES(119,4,93);
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
INSERT INTO "entries" VALUES(136,6,31,'promised',0,2,NULL);
INSERT INTO "entries" VALUES(137,6,126,'promised',0,1,NULL);
INSERT INTO "entries" VALUES(138,6,134,'promised',0,1,NULL);
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
INSERT INTO "fabric_needs" VALUES(4,4,'chart',28.0,'',296,332,1);
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
INSERT INTO "holdings" VALUES(1,31,2);
INSERT INTO "holdings" VALUES(1,126,1);
INSERT INTO "holdings" VALUES(1,134,1);
CREATE TABLE imports (
    act INTEGER PRIMARY KEY REFERENCES acts,
    what TEXT NOT NULL,
    file TEXT NOT NULL,
    rows BLOB NOT NULL
) STRICT;
CREATE TABLE migrations (number INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, taken TEXT NOT NULL) STRICT;
INSERT INTO "migrations" VALUES(1,'stock and entries','2026-11-29T14:13:06.571676Z');
INSERT INTO "migrations" VALUES(2,'projects and needs','2026-11-29T14:13:06.571676Z');
INSERT INTO "migrations" VALUES(3,'prices and wishes','2026-11-29T14:13:06.571676Z');
INSERT INTO "migrations" VALUES(4,'changes and places','2026-11-29T14:13:06.571676Z');
INSERT INTO "migrations" VALUES(5,'chosen threads','2026-11-29T14:13:06.571676Z');
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
INSERT INTO "project_charts" VALUES(4,1,137);
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
INSERT INTO "projects" VALUES(1,'Band sampler','kitted',1,28.0,NULL,2,'ivory',NULL,75,NULL,'meadowline','','linen bag 1','','','');
INSERT INTO "projects" VALUES(2,'Frost stars','planned',25,14.0,NULL,1,'snow',NULL,20,NULL,'meadowline','','tin box','','2026-12-06','');
INSERT INTO "projects" VALUES(3,'Evening hills','planned',1,28.0,NULL,2,'ivory',NULL,75,NULL,'meadowline','','linen bag 2','','2027-05-01','');
INSERT INTO "projects" VALUES(4,'Lighthouse','planned',1,28.0,NULL,2,'',NULL,NULL,NULL,'meadowline','','','','','');
CREATE TABLE settings (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
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
INSERT INTO "stock" VALUES(137,'chart',NULL,'','');
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
INSERT INTO "thread_needs" VALUES(35,4,'chart',109,109,1,686,'2',1.0,15074,16496,18174,1,3029,'');
INSERT INTO "thread_needs" VALUES(36,4,'chart',89,89,2,465,'2',1.0,10227,11207,12341,1,2057,'');
INSERT INTO "thread_needs" VALUES(37,4,'chart',110,110,3,427,'2',1.0,9551,10421,11532,1,1922,'');
INSERT INTO "thread_needs" VALUES(38,4,'chart',111,111,4,398,'2',1.0,8776,9564,10592,1,1766,'');
INSERT INTO "thread_needs" VALUES(39,4,'chart',65,65,5,319,'2',1.0,7196,7821,8712,1,1452,'');
INSERT INTO "thread_needs" VALUES(40,4,'chart',29,29,6,240,'2',1.0,5604,6079,6799,1,1134,'');
INSERT INTO "thread_needs" VALUES(41,4,'chart',30,30,7,234,'2',1.0,5325,5855,6467,1,1078,'');
INSERT INTO "thread_needs" VALUES(42,4,'chart',114,112,8,196,'2',1.0,4501,4952,5467,1,912,'');
INSERT INTO "thread_needs" VALUES(43,4,'chart',113,113,9,166,'2',1.0,3966,4310,4846,1,808,'');
INSERT INTO "thread_needs" VALUES(44,4,'chart',114,114,10,163,'2',1.0,3896,4256,4787,1,798,'');
INSERT INTO "thread_needs" VALUES(45,4,'chart',115,115,11,149,'2',1.0,3653,4055,4489,1,749,'');
INSERT INTO "thread_needs" VALUES(46,4,'chart',116,116,12,117,'2',1.0,3867,4299,4927,1,822,'');
INSERT INTO "thread_needs" VALUES(47,4,'chart',117,117,13,64,'2',1.0,1485,1586,1868,1,312,'');
INSERT INTO "thread_needs" VALUES(48,4,'chart',118,118,14,54,'2',1.0,1435,1541,1796,1,300,'');
INSERT INTO "thread_needs" VALUES(49,4,'chart',119,119,15,7,'2',1.0,426,490,554,1,93,'');
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
INSERT INTO "threads" VALUES(29,'Meadowline','PRI1','Primrose 1',8000,6,'#f4ecdc',93.6205610201856,1.4409728262887444572e-02,8.71539546051845,120,0,'pri1','meadowline',0);
INSERT INTO "threads" VALUES(30,'Meadowline','PRI2','Primrose 2',8000,6,'#dccf9e',8.3078764520248810756e+01,-2.96658028784102523189e+00,2.60382436501471978837e+01,120,0,'pri2','meadowline',0);
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
INSERT INTO "threads" VALUES(65,'Meadowline','BRO5','Brook 5',8000,6,'#217396',4.53386993665631905531e+01,-1.17571718474612225686e+01,-2.58914993166118101441e+01,120,0,'bro5','meadowline',0);
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
INSERT INTO "threads" VALUES(89,'Meadowline','FLE4','Fleece 4',8000,6,'#948d86',5.90364591411248795793e+01,1.30785561292745544648e+00,4.6595353191559718553e+00,120,0,'fle4','meadowline',0);
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
INSERT INTO "threads" VALUES(109,'Meadowline','COR6','Cornfield blue 6',8000,6,'#1a5683',3.50289731816913345601e+01,-2.22055027547224392847e+00,-3.06032361727043173966e+01,120,0,'cor6','meadowline',0);
INSERT INTO "threads" VALUES(110,'Meadowline','MIL3','Millpond 3',8000,6,'#6599aa',6.02929926932981743439e+01,-1.27725790482934868923e+01,-1.43317179475621614415e+01,120,0,'mil3','meadowline',0);
INSERT INTO "threads" VALUES(111,'Meadowline','FLE6','Fleece 6',8000,6,'#615a54',3.87147791168501669289e+01,1.65688848022713108854e+00,4.48090424868736736385e+00,120,0,'fle6','meadowline',0);
INSERT INTO "threads" VALUES(112,'Meadowline','EMB5','Ember 5',8000,6,'#c82f37',4.50703678985725915157e+01,5.93654677681650895255e+01,3.32665837883091697335e+01,120,0,'emb5','meadowline',0);
INSERT INTO "threads" VALUES(113,'Meadowline','BUT2','Buttercup 2',8000,6,'#e5c99f',82.3446784581267,3.72326448893972594689e+00,2.46430977363446110936e+01,120,0,'but2','meadowline',0);
INSERT INTO "threads" VALUES(114,'Meadowline','EMB6','Ember 6',8000,6,'#a02928',3.63949946068882894682e+01,4.8353462886577908363e+01,3.01977548800799731063e+01,120,0,'emb6','meadowline',0);
INSERT INTO "threads" VALUES(115,'Meadowline','STO4','Storm 4',8000,6,'#3b4155',27.7532955350539,2.82603792555072264036e+00,-1.27890015911650287703e+01,120,0,'sto4','meadowline',0);
INSERT INTO "threads" VALUES(116,'Meadowline','FLI1','Flint 1',8000,6,'#b1c8d4',7.92756430886908276551e+01,-5.26067566274124320813e+00,-8.5877293782167249958e+00,120,0,'fli1','meadowline',0);
INSERT INTO "threads" VALUES(117,'Meadowline','BUT3','Buttercup 3',8000,6,'#daa84c',7.18496828190006908698e+01,8.77936103455018113095e+00,5.3260698860205394566e+01,120,0,'but3','meadowline',0);
INSERT INTO "threads" VALUES(118,'Meadowline','MOS3','Moss 3',8000,6,'#739c66',6.02310014052258537722e+01,-2.46111464069631580287e+01,2.39085341500043142555e+01,120,0,'mos3','meadowline',0);
INSERT INTO "threads" VALUES(119,'Meadowline','BEE3','Beetroot 3',8000,6,'#c57b98',6.01636793286573663425e+01,3.27217314586126803996e+01,-3.40020946622643371881e+00,120,0,'bee3','meadowline',0);
CREATE TABLE wishes (
    id INTEGER PRIMARY KEY,
    thread INTEGER REFERENCES threads,
    words TEXT NOT NULL DEFAULT '',
    amount INTEGER CHECK (amount > 0),
    note TEXT NOT NULL DEFAULT '',
    CHECK (thread IS NOT NULL OR words <> '')
) STRICT;
INSERT INTO "wishes" VALUES(1,NULL,'silk, pale green',NULL,'');
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
CREATE TRIGGER choices_insert_kept AFTER INSERT ON choices
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'choices', 'project=' || quote(NEW.project) || char(31) || 'called=' || quote(NEW.called) || char(31), NULL, 'project=' || quote(NEW.project) || char(31) || 'called=' || quote(NEW.called) || char(31) || 'used=' || quote(NEW.used) || char(31) || 'reason=' || quote(NEW.reason) || char(31) FROM open_act;
END;
CREATE TRIGGER choices_update_kept AFTER UPDATE OF project, called, used, reason ON choices
WHEN (1) AND (OLD.project IS NOT NEW.project OR OLD.called IS NOT NEW.called OR OLD.used IS NOT NEW.used OR OLD.reason IS NOT NEW.reason) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'choices', 'project=' || quote(NEW.project) || char(31) || 'called=' || quote(NEW.called) || char(31), CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(OLD.project) || char(31) ELSE '' END || CASE WHEN OLD.called IS NOT NEW.called THEN 'called=' || quote(OLD.called) || char(31) ELSE '' END || CASE WHEN OLD.used IS NOT NEW.used THEN 'used=' || quote(OLD.used) || char(31) ELSE '' END || CASE WHEN OLD.reason IS NOT NEW.reason THEN 'reason=' || quote(OLD.reason) || char(31) ELSE '' END, CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(NEW.project) || char(31) ELSE '' END || CASE WHEN OLD.called IS NOT NEW.called THEN 'called=' || quote(NEW.called) || char(31) ELSE '' END || CASE WHEN OLD.used IS NOT NEW.used THEN 'used=' || quote(NEW.used) || char(31) ELSE '' END || CASE WHEN OLD.reason IS NOT NEW.reason THEN 'reason=' || quote(NEW.reason) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER choices_delete_kept AFTER DELETE ON choices
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'choices', 'project=' || quote(OLD.project) || char(31) || 'called=' || quote(OLD.called) || char(31), 'project=' || quote(OLD.project) || char(31) || 'called=' || quote(OLD.called) || char(31) || 'used=' || quote(OLD.used) || char(31) || 'reason=' || quote(OLD.reason) || char(31), NULL FROM open_act;
END;
CREATE TRIGGER class_threads_insert_kept AFTER INSERT ON class_threads
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'class_threads', 'project=' || quote(NEW.project) || char(31) || 'part=' || quote(NEW.part) || char(31) || 'place=' || quote(NEW.place) || char(31), NULL, 'project=' || quote(NEW.project) || char(31) || 'part=' || quote(NEW.part) || char(31) || 'place=' || quote(NEW.place) || char(31) || 'kind=' || quote(NEW.kind) || char(31) || 'hex=' || quote(NEW.hex) || char(31) || 'symbol=' || quote(NEW.symbol) || char(31) || 'cell_row=' || quote(NEW.cell_row) || char(31) || 'cell_column=' || quote(NEW.cell_column) || char(31) || 'called=' || quote(NEW.called) || char(31) || 'second=' || quote(NEW.second) || char(31) || 'keyed=' || quote(NEW.keyed) || char(31) FROM open_act;
END;
CREATE TRIGGER class_threads_update_kept AFTER UPDATE OF project, part, place, kind, hex, symbol, cell_row, cell_column, called, second, keyed ON class_threads
WHEN (1) AND (OLD.project IS NOT NEW.project OR OLD.part IS NOT NEW.part OR OLD.place IS NOT NEW.place OR OLD.kind IS NOT NEW.kind OR OLD.hex IS NOT NEW.hex OR OLD.symbol IS NOT NEW.symbol OR OLD.cell_row IS NOT NEW.cell_row OR OLD.cell_column IS NOT NEW.cell_column OR OLD.called IS NOT NEW.called OR OLD.second IS NOT NEW.second OR OLD.keyed IS NOT NEW.keyed) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'class_threads', 'project=' || quote(NEW.project) || char(31) || 'part=' || quote(NEW.part) || char(31) || 'place=' || quote(NEW.place) || char(31), CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(OLD.project) || char(31) ELSE '' END || CASE WHEN OLD.part IS NOT NEW.part THEN 'part=' || quote(OLD.part) || char(31) ELSE '' END || CASE WHEN OLD.place IS NOT NEW.place THEN 'place=' || quote(OLD.place) || char(31) ELSE '' END || CASE WHEN OLD.kind IS NOT NEW.kind THEN 'kind=' || quote(OLD.kind) || char(31) ELSE '' END || CASE WHEN OLD.hex IS NOT NEW.hex THEN 'hex=' || quote(OLD.hex) || char(31) ELSE '' END || CASE WHEN OLD.symbol IS NOT NEW.symbol THEN 'symbol=' || quote(OLD.symbol) || char(31) ELSE '' END || CASE WHEN OLD.cell_row IS NOT NEW.cell_row THEN 'cell_row=' || quote(OLD.cell_row) || char(31) ELSE '' END || CASE WHEN OLD.cell_column IS NOT NEW.cell_column THEN 'cell_column=' || quote(OLD.cell_column) || char(31) ELSE '' END || CASE WHEN OLD.called IS NOT NEW.called THEN 'called=' || quote(OLD.called) || char(31) ELSE '' END || CASE WHEN OLD.second IS NOT NEW.second THEN 'second=' || quote(OLD.second) || char(31) ELSE '' END || CASE WHEN OLD.keyed IS NOT NEW.keyed THEN 'keyed=' || quote(OLD.keyed) || char(31) ELSE '' END, CASE WHEN OLD.project IS NOT NEW.project THEN 'project=' || quote(NEW.project) || char(31) ELSE '' END || CASE WHEN OLD.part IS NOT NEW.part THEN 'part=' || quote(NEW.part) || char(31) ELSE '' END || CASE WHEN OLD.place IS NOT NEW.place THEN 'place=' || quote(NEW.place) || char(31) ELSE '' END || CASE WHEN OLD.kind IS NOT NEW.kind THEN 'kind=' || quote(NEW.kind) || char(31) ELSE '' END || CASE WHEN OLD.hex IS NOT NEW.hex THEN 'hex=' || quote(NEW.hex) || char(31) ELSE '' END || CASE WHEN OLD.symbol IS NOT NEW.symbol THEN 'symbol=' || quote(NEW.symbol) || char(31) ELSE '' END || CASE WHEN OLD.cell_row IS NOT NEW.cell_row THEN 'cell_row=' || quote(NEW.cell_row) || char(31) ELSE '' END || CASE WHEN OLD.cell_column IS NOT NEW.cell_column THEN 'cell_column=' || quote(NEW.cell_column) || char(31) ELSE '' END || CASE WHEN OLD.called IS NOT NEW.called THEN 'called=' || quote(NEW.called) || char(31) ELSE '' END || CASE WHEN OLD.second IS NOT NEW.second THEN 'second=' || quote(NEW.second) || char(31) ELSE '' END || CASE WHEN OLD.keyed IS NOT NEW.keyed THEN 'keyed=' || quote(NEW.keyed) || char(31) ELSE '' END FROM open_act;
END;
CREATE TRIGGER class_threads_delete_kept AFTER DELETE ON class_threads
WHEN (1) AND (1) BEGIN
    SELECT RAISE(ABORT, 'a change belongs to an act') WHERE NOT EXISTS (SELECT 1 FROM open_act);
    INSERT INTO changes (act, place, row, before, after)
    SELECT act, 'class_threads', 'project=' || quote(OLD.project) || char(31) || 'part=' || quote(OLD.part) || char(31) || 'place=' || quote(OLD.place) || char(31), 'project=' || quote(OLD.project) || char(31) || 'part=' || quote(OLD.part) || char(31) || 'place=' || quote(OLD.place) || char(31) || 'kind=' || quote(OLD.kind) || char(31) || 'hex=' || quote(OLD.hex) || char(31) || 'symbol=' || quote(OLD.symbol) || char(31) || 'cell_row=' || quote(OLD.cell_row) || char(31) || 'cell_column=' || quote(OLD.cell_column) || char(31) || 'called=' || quote(OLD.called) || char(31) || 'second=' || quote(OLD.second) || char(31) || 'keyed=' || quote(OLD.keyed) || char(31), NULL FROM open_act;
END;
COMMIT;
