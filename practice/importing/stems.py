"""The words that headings are made of, by the thing that each stands for, in thirty languages.

General usage of the sport and of measuring (no source); none is a maker's own. Stems: a word may
go on behind one. Those of fewer than four letters, and those with a point behind, are whole words.
"""

WORDS = {
    "ball": (
        "ball balle bollen bola pelota palla pallina bal boll bolas boldens bold. piłk pallo "
        "mic. mice. ボール 球 labda minge. мяч мяча 볼 공 boldmaerke boldmærke micek. micku. "
        "micek mingii mingea labd loptic loptick žogic μπαλα μπαλας μπαλακι мячик м'яч bolti "
        "bolta. pall. palli. bóng. ลูก. ลูกกอล์ฟ 球种 用球 使用球 使用ボール 볼종류 공종류 "
        "pilot. pilota bola. minges"
    ),
    "club": (
        "schl stok canne kol golfkoll golfclub クラブ club schlager "
        "schlaeger palo bastone "
        "glowk hlavy. hlava. hul. clubhead 杆头 球杆 mazza taco klubb kølle kolle "
        "koller kij kija maila uto. sopa. crosa клюшк 클럽 球桿 uto ütőfej palic kylf kepp "
        "kepi. gậy. stik. cl. ไม้. μπαστουν ключк crose crosei 사용클럽 使用クラブ 番手 杆号 桿號 "
        "杆型 球杆型号 pal. pala."
    ),
    "stick": ("stick overload underload"),
    "head": (
        "헤드 head kopf tete. cabeza testa hoofd huvud hoved hode cabeca głow głowic ヘッド "
        "hode. køllehode hlavy. hlava. hlavic hlavic. основа головк головки κεφαλη κεφαλης "
        "klubbhuv clubkop kop. mailanpää mailanpaan lapa. lapan. ütőfej fej. capului. cap. "
        "bas. başı. glavy. glave. 杆头 桿頭 桿头 杆頭 główk "
        "sk."
    ),
    "swing": (
        "swing schwung svingn sving スイング zamach švih lendites salınım salinim замах махов "
        "挥杆 揮桿 스윙 balans. ayun ayunan"
    ),
    "speed": (
        "速 sebesseg hiz. viteza скорост 속도 스피드 geschwindigk velocidad velocita prędk "
        "v0. fart. pr. speed spd velocity vel geschw vitesse vit velocid velocit snelh "
        "hastigh hast fart predkosc nopeus rychlost スピード 速度 tempo. hitrost brzin "
        "rychlosti kiirus hraði. hradi. ταχυτητ tốc. kecepatan ความเร็ว швидк hızı. hızi. "
        "hizi. "
        "velo. szybk nopeud"
    ),
    "first": ("initial inicial iniziale anfangs aanvang begin poczatk"),
    "first speed": ("初速"),
    # Written short in English: club head speed, ball speed.
    "club speed": ("chs. csp. cspd. chspd. kh."),
    "ball speed": ("bsp. bspd. bh."),
    "launch angle": (
        "abflw. startw. abflugw. elevw. nousukulma steigwinkel höhenwinkel hohenwinkel. utvinkel"
    ),
    "launch": (
        "opsend opsendelse opstijg stijgh elev elevat elevac uscita. uitgang vertrek ablauf "
        "utslag utskjut 打出角 "
        "wylot launch abflug start abschlagw lancement decollage envol lanzam salida despegue "
        "lancio decollo partenza lanceer lancer. utgang udgang afgang lancam saida. depart "
        "wyrzut vzletov elevation takeoff startow wybici lahto inditas cikis. lansare вылет "
        "запуск 발사 发射 發射 起飞 打ち出し 打出し 打出 kilöv indulás izlije izlet lansir "
        "start. vzlet odpal εκτοξευσ απογειωσ вилет старт старта утскот útskot utskots utskyt "
        "lancear phóng. luncur มุมออก ออกตัว 출발 起飛 afgangs avgang aftur fırlat firlat "
        "çıkış kalkış kalkis dışarı uit. "
        "abfl. "
        "odlet steigw. ut. ulos."
    ),
    "angle": (
        "angle ang winkel angulo angolo hoek vinkel kat kulma uhel szog. aci. unghi угол 각도 "
        "각 角度 角 kut. kot. uhol. γωνι nurk horn. góc. sudut มุม кут. açısı acisi vinkill "
        "szöge unghiul kulmaa"
    ),
    "v": ("v"),
    "upright": ("up. vertical vertikal vert verticale verticaal 上下"),
    "level": (
        "startr. abflr. abflri. abflugr. suunta smer horizontal horiz hor azimut direction "
        "dir richtung direccion direzione "
        "richting riktning retning direcao kierun 方向 orizzontal сторон направл kierunek "
        "yön. yonu. irany suund hướng arah 水平 左右打出角 좌우발사각 방향각 방향 방위"
    ),
    "spin": (
        "spin drall rotation rotaz rotac rotacj giro. efecto effet effetto efeito toeren "
        "drehzahl drehung obroty kierteet obrot kierre kierto rotace porges donus вращен 스핀 "
        "旋转 旋轉 自旋 スピン 回転 forgas pörg обертан спин. бэкспин бекспин spuni spinn "
        "rotati περιστροφ σπιν στροφ obratk xoáy. putaran สปิน otáčk 转速 轉速 后旋 後旋 倒旋 "
        "回転数 스핀량 kierteis takakierre takakierteet tspin. rot. "
        "umdreh tours. giri. giros. omdrej omdr. podkrec podkręc omdrejning alakier rotasj bakspin "
        "rotacoes. rotaç"
    ),
    "back": (
        "백 back backw wsteczn ruck arriere. retro bakat バック takak hátra zpetn spetn "
        "обратн обратное 后 後 rückw rückdrall povratn "
        "rückwärts baglæns baglaens"
    ),
    "rate": ("rate. taux tasa tasso zahl aantal antal 量 数 率 value wert"),
    "carry": (
        "bæring flukt carry carri flight flug portee vol vuelo volo voo vlieg vlucht flyve "
        "flyv fly "
        "flyg flykt kanto. vuela. kantama 飞行 acarreo draag lot lotu lentom lento. let. "
        "repul tasima полет кэрри 캐리 キャリー lend. lennu zbor. zborul uçuş ucusu taşıma "
        "политу політ πτηση πτησης кери svev flug. letu. leta. letov vuelos lennon ilmalento "
        "luchtlijn repülés 飛行 飞行距离 落点距离 落点 캐리거리 แคร์รี่ ระยะแคร์รี่ sveve. flugt. flygn "
        "tragw dolet "
        "carregad pico. picó. zbora."
    ),
    "air": (
        "air. luft aire. aria. lucht. aerea. aereo. aerienne. "
        "levegőben. levegoben. luftburen vzduchem. ilmassa. ar. luften. powietrzu."
    ),
    "total": (
        "ialt. slut final ende end. finale 終 total tot ges gesamt samlet sammanlagd overall "
        "celkov "
        "celkova delka. всего 总共 całkow calkow kokonais celkem teljes osszes toplam итог "
        "общ. общая 토탈 총 总 總 トータル 総 totaal insgesamt compless acaba. final. finish "
        "finished ended ends razem. skupa skupaj ukupn ukupno celkom spolu. skupna συνολ "
        "kokku. kogu. kogupikk heild heildar tổng. ระยะรวม รวม всего. загальн 전체 总码数 "
        "總碼數 yhteens összesen celkem. totallangd "
        "eindafst eind. "
        "quedo. quedó. uiteindel stopp. celkove. osszesen összesen."
    ),
    "distance": (
        "distancia distanza distance dist distanc distanz weite lange laenge entfern strecke "
        "longueur long lunghezza gittata afstand lengte avstand langd længd laengd lengde "
        "comprim odległosc dystans pituus matka vzdalen tavolsag mesafe distanta дистанц "
        "расстоян 비거리 거리 距离 距離 metros. délka duljin duljina udaljen vzdialen razdal "
        "거리. αποστασ 飛距離 lengd. pikkus khoảng. jarak. ระยะ відстан długos dlugos długość "
        "dlugosc dljin mesafesi 码数 碼數 "
        "longit sträck alcance. etäisyy dystans odl. odleg"
    ),
    "side": (
        "lato. lado. costado. kant. zijde. strona. deriva snett fuori offlin zboczen skew "
        "曲がり aside venstre hoyre højre hoger linea. side sideways cote lateral lat offline "
        "seite seitl deviat dev abweich abw ecart desviac desv desvio deviaz scarto scostam "
        "afwijk afw zij. zijd zijw zijaf avvik afvig sido sida. sidl odchyl boczn sivu "
        "poikkeam 左右 ブレ ずれ disper versatz streu zijwaarts linksrechts leftright gauche "
        "droite izquierda derecha afv. offl. elteres sapma. abatere отклон 좌우 편차 偏差 "
        "ablage oldal oldaleltérés eltér oldalir sivusu stran. strana. strany. stranov bok. boczne "
        "bocznie sidavvik avvik. frávik αποκλισ πλευρικ kõrvalekalle kõrval lệch. відхил "
        "боков вбок odstup odstupan odmik odmik. yan. yanal sapması sapmasi deviați deviatie "
        "zijdeling zijdelings 偏离 偏離 偏移 横向 橫向 侧偏 側偏 이탈 좌우이탈 lateral. "
        "penyimpangan fout. lr. "
        "sidled "
        "oldalra. skjev skjevt. skev corrido."
    ),
    "axis": (
        "axis achse axe eje asse axel akse eixo osi 軸 tilt kipp spinas as. os. osy. osi. "
        "tengely eksen ekseni 축 轴 ось. оси. αξον drallachs axei axa. akselin"
    ),
    "attack": (
        "attack attaq ataque attacc anstell eintreff angrep angreb aanval natarc 入射 aoa "
        "anfall treffwinkel natarci nabeh 攻击 攻擊 어택 атаки attackw eintr"
    ),
    "path": (
        "path pfad bahn chemin trayect traiett pad. bana. bane. sciezk 軌道 パス weg. "
        "schwungweg schlagerweg väg. camino caminho percors percorso sciezka sciezki dráha "
        "轨迹 軌跡 패스 køllebane kollebane klubbana klubbvag траектор trayector trajetor "
        "traiettor trajekt"
    ),
    "face": ("face flache blatt cara. faccia vlak. blad. flade フェース 페이스 杆面 桿面 щечк"),
    "height": (
        "height apex hohe hoehe scheitel gipfel hauteur altura altezz apogee hoogte hojd højd "
        "hoyde wysok korkeus vyska 高さ 最高 peak sommet visin magass înălțime yükseklik υψος "
        "hæð. haed. kõrgus độ. cao. tinggi. ความสูง высот висот 최고 최고점 높이 고도 最高点 "
        "最高到達 最大高度 顶点 頂點 高度 zirve lakikork huippu topp. topphoyde tophojde "
        "maxhojd zenit ceiling"
    ),
    "landing": (
        "landing landew landung descent descente chute atterr aterr caida. discesa nedslag "
        "ladowan opadan 落下 落ち приземл падени προσγειωσ leérkez dopad aterizar iniş inis. "
        "inisi. dalend daalh. daalhoek 착지 낙하 落地 落角 下落 tulokulma laskeut atterra "
        "aufprall"
    ),
    "loft": ("loft dyn dynam ロフト"),
    "smash": (
        "smash factor faktor fattor facteur efficien effizien ratio. rapport quotient "
        "wspołczyn ミート 정타율 击球效率 效率 扎实 스매시 effektivit efektywn efektivn "
        "ucinkovit treffgute rendement rendimento rendimiento wydajn"
    ),
    "time": (
        "hora godz time. uhrzeit zeit heure hora. ora. tijd tid czas godzin 時刻 時間 temps. "
        "tiempo klockslag durat dauer 시간 время čas. idő. idő saat. saati ωρα. χρονος "
        "vrijeme vreme. tími. kell. kello kellonaika giờ. waktu เวลา час. klokkesl aika. "
        "aikaa 시각 체공 滞空 时刻 hang durée dauer. duur. trvani süre sure. süresi flytid "
        "flyvetid flygtid luftt svevetid lentoaika"
    ),
    "clock": ("clock reloj horloge orologio relogio klok. klokke. zegar zeiger"),
    "date": (
        "tidspunkt 日時 data. fecha date datum jour dia data dato dag. tag. day. dzien paiva "
        "tarih дата 날짜 일자 日期 captured recorded stamp. 日付 年月日 timestamp zeitpunkt "
        "zeitstempel horodat quando cuando when. giorno datetime dagsetn kuupäev kuupaeva "
        "ημερομην ngày. tanggal วันที่ päiväm paivays pvm. pvm 일시 時日 日期时间 időpont "
        "nap. den. dzień. zi. ziua. gün. день. tijdstip moment datumtijd moment. horário "
        "horario. fechas"
    ),
    "number": (
        "seq lp lopnr løbenr no nr num number nummer numero index idx id lfd 番号 count sorsz "
        "sorszám poradi por. číslo kolejn α/α 순번 序号 序號 编号 編號 号码 杆数 回数 打数 "
        "номер nomor jarjestys"
    ),
    "shot": (
        "shot schlag. coup golpe colpo tiro. slag skott strzał uderz lyonti ショット schlage "
        "löök. udar. udarac udarec úder. υtd. χτυπημα удар. удары rana. rany. vuruş 샷 击球 "
        "打席 cop. højgg hogg. högg pukulan tacada pancada lovitur slagnr ütés utes."
    ),
    "roll": (
        "ground. rulle roll. run. ausroll auslauf roul rodada rodado rotol uitrol rull rul "
        "toczen "
        "rotolo rouleau ラン rulla. rullaus toceni dobeh gurul rostog yuvarl перекат 滚动 "
        "滾動 구름 런. rollout rulling vals."
    ),
    "curve": (
        "curve kurve curva courbe kurva bocht bend. draw. fade. krivk flugkurve shape. flugform"
    ),
    "weather": (
        "temp temperat humid feucht wind vent viento vento "
        "luftdruck pressure druck altit "
        "weather wetter meteo clima 気温 天気 風 vítr. vind. viento. szel. tuul tuuli wiatr. "
        "vânt rüzgar ανεμος ветер вітер vjetar veter vietor vindur angin. 바람 风 날씨 天气 "
        "天氣 pogod počas pocasi időj sää. vær. vaer. vejr. väder hava. sıcakl sicakl lämpö "
        "lampot teplot teplo температур hőmér μπαταρ wind. luftf luftt. vlhk wilgo влажн "
        "humed humid. umid umid. 기온 温度 溫度 湿度 濕度 tlak. ciśn pressione presión "
        "pression pressao"
    ),
    "note": (
        "observacion anteckning 備考 anteckn note notes notiz bemerk comment kommentar observ "
        "opmerk anmerk remarq commento comentar uwagi メモ poznám bilješk biljes napomen "
        "opomb megjegyz megj. huomaut huomio muistiinp anmärk merknad notat. notat athugas "
        "märkus ghi. chú. catatan หมายเหตุ σημειωσ παρατηρ σχολι примеч заметк комментар "
        "приміт açıkl acikl not. notlar observaț observatii observatie 비고 참고 备注 備註 "
        "说明 說明 笔记 コメント bem. remark obs. obs komment komentár coment"
    ),
    "kind": (
        "marke merk type typ typen tipo brand marca marque make. modell model modele name. "
        "namn navn nom. nombre nome naam 名 種類 märk mærke maerke típus típusa markája marka "
        "markası marki. znack tip. tipul 品牌 牌子 종류 种类 марка марки тип. тип τυπος μαρκα "
        "typ. jenis. brand. merke. merkki merkin merki "
        "wahl. keuze. val. valg. choice. choix. tyypp"
    ),
    "target": (
        "meta. cil. 目标 goal. intended objectif wanted hedef cel. цель 타겟 tgt aim aimed "
        "target ziel cible objetivo obiett bersagl doel mal. tavoite alvo. 目標 cel celu "
        "cíle. cieľ. cilj. cilja. célt celtav hedefi στοχ kohde. kohteen tavoit sasaran mục. "
        "țint tint. tinta doelaf 狙い 목표 목표거리 visee gewollt geplant planlagt planowan "
        "soll. blanco. mikp sikte. sigte. cilov"
    ),
    "with": ("efter. after. nach. apres. dopo. despues. mit with incl inkl avec con med met z."),
    "good": (
        "reussi flush ok. buena rating. wertung bewert avaliac valutaz valorac beoordel betyg "
        "vurder ocena good gut. bon bonne bra buono bueno bom boa dobr goed god. pure "
        "quality qualit qualid kvalit jakosc kwalit treffer esito clean solid sauber "
        "resultado resultat 判定 良 limp net. nett. nette. netta propre pulit schoon. ren. "
        "czyst cist. puhdas temiz чист ciste. cisty. rent. bien. чисто чистый καθαρ tiszta. "
        "tiszta curat temiz. puhda zuiver sauber. 정타 干净 乾淨 クリーン クリーンヒット 芯. "
        "rene. puhas. čist čisto čistě puro. "
    ),
    # Of a strike; alone it may be anything.
    "well": ("well. ben. bem."),
    "strike": (
        "zasah hit. tapee. strike frappe batida contact kontakt contatt contato osuma úder "
        "getroffen geraakt geraakt. getroffen. treff. træff traff. osum trafien találat "
        "попадан isabet ramt. tref. acierto acerto "
        "struck. touch dado. dada. colpit. colpita. batid"
    ),
    "player": (
        "pelaaja player golfer golfare spieler joueu jugad giocat speler spelare spiller "
        "lln. jogad zawodn grac athlete user. student schuler eleve alumn alliev leerling "
        "プレーヤー 選手 氏名 hrac. jatekos oyuncu jucator игрок 사용자 선수 이름 球员 姓名 "
        "hráč igrac igrale igralec παικτ μαθητ ονομα jucat mängija leikm người pemain ผู้เล่น "
        "гравец ученик ученица учень имя. ім'я фио. jmeno név. nimi. imię isim. adı. ad. "
        "soyad nume. numele žák. uczen tanul oppila oppilas öğrenc 생徒 生徒 학생 회원 회원명 "
        "성명 플레이어 学员 學員 球員 选手 speelst joueuse jogadora jugadora giocatric gracz "
        "graczka elevul spielerin ime. nafn. ime "
        "stagiaire trainee deltaker deltager kursant ragazz"
    ),
    "place": (
        "paikka site. locat lokal standort place location venue where anlage lieu lugar luogo "
        "plaats plats sted local. miejsce facility campo. location. misto. hely. yer. место "
        "장소 地点 会場 場所 helyszin pálya palya. locatie locatia teren. terenul saha. "
        "sahası konum yeri. τοπος τοποθ γηπεδ koht. kohta staðu stadur. địa. điểm. tempat "
        "สถานที่ місце mjest mesto. miesto kraj. hriste hrist kenttä endroit parcours posto. "
        "sitio baan. bana. bane. bane lokalizac поле. pole. 球场 球場 场地 場地 练习场 練習場 "
        "연습장 위치 golfbana driving"
    ),
    "device": (
        "sensor radar zarizeni laite simula device gerat appareil dispositiv aparat aparelh "
        "apparat apparaat urzadz 計測器 機器 장비 기기 gadget прибор 设备 mätare mätin "
        "matinstr måler maler. måleinstr mérő mero. eszköz készül pristr přístroj meric merak "
        "mernik miernik uređaj uredaj naprav zariad seade. tæki. taeki. συσκευ thiết. alat. "
        "устройст прилад cihaz cihazı medidor strument apparecch mittar mittari meetapp "
        "meetinstr maleapp 측정기 측정장비 仪器 儀器 測定器 計測 计测 aparatur hardware"
    ),
    "unit": ("unit einheit unite unidad unita eenheid enhet enhed jednostk 単位"),
    "effort": (
        "ressenti gevoel fuerza fiilis power effort anstreng gefuhl feel. felt. intens "
        "esfuerz esfuers esforc sforz inspann anstrang innsats wysilek felt kracht kraft. "
        "krafteins sila. siła. usili usil erőf erő. efor. çaba. şiddet rasitus voima. teho. "
        "προσπαθ εντασ усил зусил интенсив intenzi intensywn intensit napor naprezan 力度 "
        "强度 強度 用力 力加減 강도 힘. 힘 power. indsats zatížen fuerza. forza. forca. "
        "potenz potenc "
        "einsatz kraftauf engagem impegn inzet."
    ),
    "rest": ("left. gap. gaps. pin. fahne rest remain restant 残り difference diff"),
    # In Czech the head of a club; in English where the ball is meant to go.
    "hole": ("hole."),
    "battery": (
        "batter bateri akku. akumul pil. 배터리 电池 電池 バッテリー батаре аккумул battery"
    ),
}
