"""What the columns of a coach's list are called, and the days of the week, in 24 languages. Pure.

As such lists are headed in general (no source); none is a maker's own.
"""

HEADINGS = {
    "name": (
        "dziecka|ditete|oppilaan|lapsen|ucznia|zaka|elevens|barnets|kindes|schulers|"
        "name des kindes|nom de l eleve|nom eleve|vor u zuname|vor und zuname|vor u nachname|"
        "name|student|full name|player|pupil|member|junior|child|kid|students name|"
        "players name|childs name|schuler|spieler|kind|mitglied|teilnehmer|nom complet|eleve|"
        "joueur|"
        "enfant|nom et prenom|nom prenom|nombre|alumno|alumna|jugador|nombre completo|nino|"
        "nome e cognome|cognome e nome|allievo|allieva|giocatore|nome completo|aluno|aluna|"
        "jogador|"
        "naam|leerling|speler|schueler|vor und nachname|volledige naam|nombre y apellidos|"
        "apellidos y nombre|namn|elev|spelare|fullstandigt namn|for och efternamn|navn|"
        "fulde navn|"
        "fullt navn|spiller|barn|barnets navn|nimi|oppilas|pelaaja|juniori|imię i nazwisko|"
        "nazwisko i imię|imie i nazwisko|uczen|zawodnik|gracz|jmeno a prijmeni|prijmeni a jmeno|"
        "meno a priezvisko|zak|hrac|ziak|nev|teljes nev|tanulo|jatekos|nume|nume si prenume|"
        "lapsi|lapsen nimi|dziecko|imię dziecka|dite|dieta|gyermek|gyerek|copil|cocuk|kind naam|"
        "bambino|bambina|figlio|figlia|crianca|filho|filha|barnets namn|hijo|hija|ребенок|дитина|"
        "παιδι|子供|子ども|お子様|자녀|아이|孩子|nume complet|ad soyad|adı soyadı|isim|ogrenci|"
        "oyuncu|ονοματεπωνυμο|ονομα|μαθητης|παικτης|"
        "имя|фио|ученик|игрок|имя и фамилия|фамилия имя|ім я|піб|учень|氏名|名前|お名前|生徒|"
        "生徒名|"
        "生徒氏名|会員名|선수|이름|성명|학생|회원|회원명|姓名|学员|學員|学生|學生|球员|会员|名字|"
        "ime i prezime|ime in priimek|igrac"
    ),
    "first_name": (
        "given|firstname|fname|known as|called|rufname|tilltalsnamn|kaldenavn|krestni|"
        "kutsumanimi|prenom usuel|nome proprio|petit nom|"
        "jm|vorn|"
        "first name|given name|first|forename|christian name|vorname|prenom|nombre de pila|nome|"
        "voornaam|roepnaam|primeiro nome|fornamn|fornavn|etunimi|imię|imie|jmeno|krestni jmeno|"
        "meno|"
        "keresztnev|utonev|prenume|ad|adı|имя ученика|ім'я|имя отчество|名|下の名前|이름 명|ime|"
        "μικρο ονομα"
    ),
    "last_name": (
        "lname|lastname|1er apellido|primer apellido|"
        "nachn|prijm|"
        "last name|surname|family name|last|nachname|familienname|zuname|nom|nom de famille|"
        "apellido|apellidos|cognome|achternaam|familienaam|sobrenome|apelido|ultimo nome|"
        "efternamn|"
        "efternavn|etternavn|sukunimi|nazwisko|prijmeni|priezvisko|vezeteknev|csaladnev|"
        "nume de familie|soyad|soyadı|soyisim|επωνυμο|επιθετο|фамилия|прізвище|姓|苗字|名字 姓|"
        "성|성씨|"
        "prezime|priimek"
    ),
    "email": (
        "posti|correio|"
        "s posti|mel|mailadr|"
        "メアド|"
        "email|e mail|mail|email address|mail address|e mail adresse|adresse mail|mailadresse|"
        "student email|players email|pupil email|mail schuler|e mail schuler|"
        "courriel|adresse courriel|mel|correo|correo electronico|email alumno|posta elettronica|"
        "indirizzo email|posta|mailadres|e mailadres|adresse e mail|correio eletronico|endereco "
        "de email|"
        "epost|e post|e postadress|epostadress|mejl|mailadress|e postadresse|sahkoposti|"
        "sahkopostiosoite|adres email|adres e mail|poczta|mejl adres|emailova adresa|e mailova "
        "adresa|"
        "e mail cim|emailcim|adresa de email|adresa email|eposta|e posta|e posta adresi|"
        "ηλεκτρονικη διευθυνση|ηλεκτρονικο ταχυδρομειο|электронная почта|эл почта|почта|имейл|"
        "електронна пошта|пошта|メール|メールアドレス|eメール|e メール|이메일|메일|전자우편|"
        "邮箱|电子邮箱|電子郵件|"
        "電郵|邮件|郵箱|e naslov|elektronicka posta"
    ),
    "phone": (
        "natel|"
        "telefonnr|mobilnr|mobielnr|handynr|gsmnr|tlfnr|telnr|telefoonnr|puhelinnro|"
        "tfno|contacto|telnr|puh|kom|"
        "tlm|telem|port|06 nr|06 nummer|"
        "mob|"
        "phone|mobile|cell|telephone|tel|phone number|mobile number|cell phone|contact number|"
        "student phone|telefon|telefonnummer|handy|handynummer|mobil|mobilnummer|rufnummer|"
        "portable|"
        "numero de telephone|mobile eleve|movil|telefono|telefono movil|celular|cellulare|"
        "telefoon|"
        "telefoonnummer|mobiel|mobiel nummer|gsm|telemovel|telefone|telefon nr|tlf|tlf nr|"
        "mobiltelefon|"
        "puhelin|puhelinnumero|kannykka|matkapuhelin|nr telefonu|numer telefonu|komorka|"
        "telefonni cislo|"
        "telefonne cislo|telefonszam|numar de telefon|cep telefonu|cep|telefon numarası|"
        "τηλεφωνο|κινητο|"
        "телефон|номер телефона|моб телефон|мобильный|мобільний|電話|電話番号|携帯|携帯電話|"
        "携帯番号|연락처|"
        "전화|전화번호|휴대폰|핸드폰|휴대전화|电话|電話號碼|电话号码|手机|手机号|手機|联系电话|"
        "聯絡電話|mobitel"
    ),
    "guardian": (
        "contact person|bezugsperson|kontaktperson|ansprechperson|persona de contacto|"
        "persona di contatto|pessoa de contacto|contactpersoon|parorende|pårørende|"
        "anhorig|narstaende|osoba kontaktowa|kontaktni osoba|yhteyshenkilo|"
        "personne a contacter|genitore di riferimento|referente genitore|"
        "pais|"
        "responsible adult|sorgeberechtigte|verzorger|verzorgers|opvoeder|enc de educacao|"
        "enc educacao|vaerge|værge|mamma|pappa|papa|mama|mutti|vati|maman|resp|"
        "zak zastupce|familie|family|imie i nazwisko rodzica|"
        "enc ed|ee|forælder|foræl|foraelder|foresatt|zak zast|zz|"
        "mors|fars|mor far|far mor|"
        "mum dad|mum|dad|mom|mom dad|erz ber|resp legal|encarregado de educacao|encarregado|"
        "guardian|parent|mother|father|parent name|guardian name|parent guardian|parents|carer|"
        "parent or guardian|legal guardian|eltern|elternteil|mutter|vater|erziehungsberechtigte|"
        "erziehungsberechtigter|name der eltern|tuteur|tutrice|representant legal|responsable "
        "legal|"
        "responsable|mere|pere|parent responsable|nom du parent|tutor|tutora|padre|madre|"
        "tutor legal|padre madre|padre o madre|madre o padre|responsable del menor|apoderado|"
        "genitore|"
        "genitori|tutore|esercente la patria potesta|ouder|ouders|voogd|ouder verzorger|naam "
        "ouder|"
        "encarregado de educacao|responsavel|responsavel legal|mae|pai|pai mae|mae pai|"
        "vardnadshavare|foralder|malsman|mor|far|malsmans namn|foresatt|foresatte|foraelder|"
        "foraeldre|"
        "forelder|forelders navn|verge|huoltaja|vanhempi|huoltajan nimi|opiekun|rodzic|rodzice|"
        "opiekun prawny|matka|ojciec|zakonny zastupce|zastupce|rodic|rodice|otec|"
        "zakonny zastupca|"
        "szulo|gondviselo|szulo neve|gondviselo neve|anya|apa|parinte|tutore legal|parinti|mama|"
        "tata|"
        "veli|veli adı|anne|baba|ebeveyn|γονεας|κηδεμονας|родитель|опекун|родители|мама|папа|"
        "законный представитель|опікун|батьки|保護者|保護者名|保護者氏名|親|보호자|보호자명|"
        "보호자 이름|학부모|부모|"
        "家长|家長|监护人|監護人|家长姓名|监护人姓名|roditelj|skrbnik|stars"
    ),
    "guardian_email": (
        "their email|their mail|"
        "guardian email|guardian mail|parent email|parents email|parent mail|parent s e mail|"
        "parents e mail|guardian s email|guardian s e mail|parent s email|email of parent|"
        "guardian e mail|parent e mail|e mail eltern|eltern mail|mail der eltern|e mail der "
        "eltern|"
        "eltern e mail|elternmail|mail erziehungsberechtigte|"
        "eltern email|email parent|email des parents|email du parent|mail parent|"
        "mail des parents|"
        "courriel parent|courriel des parents|courriel du parent|courriel du responsable|"
        "courriel responsable|email du responsable|mail du responsable|email responsable|"
        "correo del tutor|correo padre|correo de los padres|email tutor|correo tutor|"
        "email padres|"
        "correo del responsable|email del tutor|email genitore|email genitori|mail genitore|"
        "mail genitori|email del genitore|mail ouder|e mail ouder|e mail ouders|mail ouders|"
        "email ouder|email ouders|email do encarregado|email do responsavel|email dos pais|"
        "email responsavel|email encarregado de educacao|"
        "vardnadshavares e post|e post vardnadshavare|e post foralder|foralders e post|"
        "mejl vardnadshavare|mejl foralder|e post malsman|forelders e post|e post foresatt|"
        "e post foresatte|foresattes e post|foraelders mail|foraeldres mail|mail foraelder|"
        "mail foraeldre|e mail foraeldre|e mail foraelder|huoltajan sahkoposti|vanhemman "
        "sahkoposti|"
        "sahkoposti huoltaja|email opiekuna|e mail opiekuna|email rodzica|e mail rodzica|"
        "mail rodzica|email rodicu|e mail rodicu|email rodice|e mail rodice|e mail zastupce|"
        "email zakonneho zastupce|e mail zakonneho zastupce|e mail rodica|szulo e mail|szulo "
        "email|"
        "szulo e mail cime|szuloi e mail|gondviselo e mail|email parinte|e mail parinte|"
        "email parinti|veli e posta|veli eposta|veli mail|veli e postası|email γονεα|"
        "email κηδεμονα|почта родителя|email родителя|e mail родителя|эл почта родителя|"
        "почта родителей|пошта батьків|保護者メール|保護者メールアドレス|保護者のメール|보호자 "
        "이메일|보호자 메일|"
        "학부모 이메일|家长邮箱|監護人郵箱|监护人邮箱|家長電郵|家长邮件"
    ),
    "guardian_phone": (
        "emergency no|emergency number|emergency phone|notruf|contacto encarregado|"
        "erreichbar unter|notfallnr|their mob|their mobile|their phone|notfallnummer|"
        "guardian phone|parent phone|parents phone|parent mobile|guardian mobile|mother phone|"
        "parent s phone|parent s mobile|parent cell|guardian s phone|emergency contact number|"
        "father phone|telefon eltern|telefon der eltern|handy eltern|eltern telefon|elternhandy|"
        "telephone parent|telephone des parents|telephone du responsable|tel parent|tel "
        "responsable|"
        "portable parent|telefono padre|telefono del responsable|telefono de los padres|"
        "telefono del tutor|telefono tutor|telefono genitore|telefono genitori|"
        "cellulare genitore|"
        "telefoon ouder|telefoon ouders|mobiel ouder|telefone do responsavel|"
        "telemovel do encarregado|telefone responsavel|telefone dos pais|vardnadshavares telefon|"
        "telefon vardnadshavare|foralders telefon|telefon foralder|mobil vardnadshavare|"
        "telefon foresatt|foresattes telefon|telefon foraelder|telefon foraeldre|foraelders "
        "telefon|"
        "huoltajan puhelin|vanhemman puhelin|telefon opiekuna|telefon rodzica|"
        "nr telefonu rodzica|"
        "telefon rodicu|telefon zastupce|telefon rodica|szulo telefonja|szulo telefon|telefon "
        "parinte|"
        "veli telefonu|veli telefon|τηλεφωνο γονεα|τηλεφωνο κηδεμονα|телефон родителя|телефон "
        "родителей|"
        "保護者電話|保護者電話番号|保護者携帯|보호자 연락처|보호자 전화|보호자 전화번호|학부모 "
        "연락처|家长电话|"
        "家长手机|监护人电话|家長電話"
    ),
    "weekday": (
        "timedag|"
        "preferred day|kurs am|"
        "kurstag|trainingstag|trainingsdag|traningsdag|traeningsdag|treningsdag|which day|"
        "day|weekday|lesson day|day of lesson|day of week|tag|wochentag|unterrichtstag|jour|"
        "jour du cours|jour de cours|dia|dia de clase|dia de la semana|dia da semana|dia da aula|"
        "giorno|giorno lezione|dag|lesdag|weekdag|veckodag|lektionsdag|ugedag|ukedag|lektionsdag|"
        "viikonpaiva|paiva|tuntipaiva|dzien|dzien tygodnia|dzien lekcji|den|den v tydnu|"
        "den lekce|"
        "den v tyzdni|nap|het napja|zi|ziua|ziua lectiei|gun|ders gunu|ημερα|день|день недели|"
        "день занятия|день тижня|曜日|レッスン曜日|요일|레슨 요일|수업 요일|星期|星期几|上课日|"
        "周几|dan"
    ),
    "at": (
        "um|preferred time|"
        "from|von|trainingszeit|traningstid|traeningstid|klokkeslæt|hodina|aloitus|van|"
        "od|ore|alle ore|"
        "uur|kl|klo|klockan|klokken|godz|uhrzeit|"
        "time|lesson time|hour|start|start time|starts|begins|starts at|begin time|"
        "startzeit|anfangszeit|anfang|heure de debut|debut|hora de inicio|inicio|"
        "orario di inizio|inizio|begintijd|aanvangstijd|aanvang|begin|alkaa|alkamisaika|"
        "godzina rozpoczecia|poczatek|zacatek|kezdes|kezdete|ora de inceput|inceput|"
        "baslangic saati|baslangıc|baslangıc saati|время начала|начало|開始|시작|시작 시간|"
        "开始时间|"
        "uhrzeit|zeit|uhr|unterrichtszeit|beginn|heure|"
        "horaire|"
        "heure du cours|hora|hora de clase|horario|hora da aula|ora|orario|ora lezione|tijd|"
        "lestijd|"
        "starttijd|tid|klockslag|starttid|tidspunkt|klokkeslaet|klokkeslett|kello|"
        "aika|"
        "kellonaika|tuntiaika|godzina|godzina lekcji|cas|cas lekce|hodina lekce|ido|idopont|ora "
        "lectiei|"
        "saat|ders saati|ωρα|время|время занятия|час|час заняття|時間|レッスン時間|時刻|"
        "開始時間|시간|"
        "레슨 시간|수업 시간|时间|時間|上课时间|vrijeme|ura"
    ),
    "lesson": (
        "turno|horario de clase|lektionstid|"
        "lesson|slot|day and time|lesson slot|standing lesson|weekly lesson|day time|lesson day "
        "and time|"
        "stunde|unterricht|termin|tag und uhrzeit|tag uhrzeit|unterrichtstermin|cours|creneau|"
        "jour et heure|jour heure|clase|dia y hora|lezione|giorno e ora|giorno ora|aula|dia e "
        "hora|"
        "dia hora|horario da aula|les|dag en tijd|lesmoment|lektion|dag och tid|undervisning|"
        "dag og tid|time og dag|dag og klokkeslett|tunti|paiva ja aika|aika ja paiva|lekcja|"
        "termin lekcji|"
        "dzien i godzina|lekce|den a cas|lekcia|ora es nap|nap es ido|nap es idopont|lectie|zi "
        "si ora|"
        "ziua si ora|ders|gun ve saat|μαθημα|ημερα και ωρα|занятие|урок|день и время|день і час|"
        "レッスン|"
        "レッスン日時|曜日 時間|曜日時間|레슨|레슨 시간대|요일 시간|수업|课程|课时|上课时间段|"
        "上課時間|termin sata|"
        "dan i vrijeme"
    ),
    "coach": (
        "leitung|kursleitung|kursleiter|ubungsleiter|ledare|leder|treningsleder|"
        "assigned|assigned to|led by|animateur|"
        "coached by|coached|"
        "ansvarlig|ansvarig|vede|vastuuvalmentaja|"
        "m ro|con chi|segue|seguito da|maestro|træner|ansv træner|ansvarlig træner|"
        "referent|referente|haupttrainer|haupttr|huvudtranare|prowadzacy|prof|prof resp|"
        "professor|moniteur|profe|"
        "coach|lead coach|teacher|pro|instructor|golf pro|trainer|lehrer|golflehrer|betreuer|"
        "entraineur|"
        "professeur|enseignant|enseignante|moniteur|prof|encadrant|entrenador|entrenadora|"
        "profesor|"
        "profesora|monitor|instructora|allenatore|maestro|istruttore|insegnante|treinador|"
        "professor|"
        "professora|instrutor|leraar|docent|coachnaam|tranare|instruktor|larare|traener|trener|"
        "underviser|valmentaja|opettaja|nauczyciel|szkoleniowiec|treneri|trenerka|ucitel|"
        "trenera|edzo|"
        "oktato|antrenor|instructor golf|profesor golf|antrenor golf|egitmen|hoca|koc|antrenor "
        "adı|"
        "προπονητης|δασκαλος|тренер|инструктор|преподаватель|コーチ|担当コーチ|担当|指導者|講師|"
        "先生|インストラクター|"
        "코치|담당 코치|담당코치|강사|프로|선생님|담당 프로|教练|教練|老师|老師|负责教练|主教练|"
        "导师"
    ),
    "aim": (
        "malsetting|målsetting|ønske|ønsker|"
        "punto debole|debolezza|weakness|schwache|point faible|punto debil|ponto fraco|"
        "zwak punt|svaghet|vil arbejde med|vil jobbe med|vill jobba med|fix first|"
        "lieblingsziel|"
        "wants to work on|work on|focus|main focus|to improve|improve|thema|themen|"
        "mochte verbessern|verbessern|"
        "axe de travail|axe|axes|a travailler|travailler|priorite|a mejorar|mejorar|"
        "por mejorar|que trabajar|da migliorare|migliorare|cosa migliorare|su cosa lavora|"
        "aandachtspunt|aandachtspunten|a melhorar|melhorar|foco|fokus|vill trana pa|"
        "tranar pa|fokusomrade|ovar pa|ova pa|øver på|jobber med|arbejder med|arbetar med|"
        "nad czym pracuje|do poprawy|zamereni|na cem pracujeme|na cem pracuje|painopiste|"
        "kehityskohde|harjoittelee|needs|needs work|werkt aan|"
        "obb|get better at|schwerpunkt|werkpunt|werkpunten|vil gerne|will lernen|onderwerp|"
        "aim|goal|target|wants|working towards|working on|wants to|objective|ambition|hopes to|"
        "purpose|"
        "ziel|ziele|wunsch|lernziel|trainingsziel|objectif|objectifs|but|souhait|objetivo|"
        "objetivos|"
        "meta|metas|obiettivo|obiettivi|scopo|doel|doelstelling|leerdoel|wens|mal|malsattning|"
        "maal|"
        "malsetning|onske|tavoite|tavoitteet|cel|cele|cil|cile|ciel|celja|celok|obiectiv|scop|"
        "hedef|"
        "amac|στοχος|цель|цели|мета|ціль|目標|目的|ねらい|목표|목적|目标|目的|学习目标|cilj"
    ),
    "born": (
        "annee|ano nac|año nac|rocznik|rocnik|pers nr|personnr|nar|synt|nasc|naiss|nac|"
        "f nac|nasc|jg geb|jg|ne e le|"
        "yob|y o b|born in|ne e en|nee en|argang|årgang|arskull|"
        "born|birth year|year of birth|birthday|date of birth|birth date|birthdate|dob|d o b|"
        "geboren|"
        "geburtsjahr|geburtstag|geburtsdatum|jahrgang|ne le|nee le|ne e le|annee de naissance|"
        "date de naissance|naissance|nacimiento|fecha de nacimiento|ano de nacimiento|fecha nac|"
        "f nacimiento|fecha nacimiento|data di nascita|nato|nata|anno di nascita|nascita|"
        "data de nascimento|nascimento|ano de nascimento|data nasc|geboortedatum|"
        "geboortejaar|geb|"
        "fodelsedatum|fodd|fodelsear|fodselsdato|fodselsdag|fodt|fodselsar|fødselsdato|født|"
        "fødselsår|"
        "fødselsdag|syntymaaika|syntymavuosi|syntynyt|data urodzenia|rok urodzenia|ur|urodzony|"
        "datum narozeni|narozeni|rok narozeni|narozen|datum narodenia|narodeny|szuletesi datum|"
        "szuletesi ido|szuletesi ev|szuletett|data nasterii|anul nasterii|nascut|dogum tarihi|"
        "dogum yılı|dogum|ημερομηνια γεννησης|ετος γεννησης|γεννηση|дата рождения|год рождения|"
        "дата народження|рік народження|生年月日|誕生日|生年|생년월일|생일|출생년도|생년|"
        "出生日期|生日|出生年份|"
        "出生年月|datum rodjenja|datum rođenja|datum rojstva"
    ),
    "age": (
        "age|years old|age in years|alter|jahre|edad|anos|idade|eta|leeftijd|alder|ålder|ika|"
        "wiek|vek|"
        "kor|eletkor|varsta|yas|ηλικια|возраст|вік|年齢|年令|나이|연령|年龄|年齡|dob starost|"
        "starost"
    ),
}

# Words beside these in a heading that say nothing more of it.
_FILL_WORDS = (
    "spring summer autumn winter year season now fruhjahr sommer herbst saison printemps ete "
    "automne hiver primavera verano otono invierno temporada estate autunno inverno stagione "
    "voorjaar zomer herfst seizoen var host vinter sommar forar efterar wiosna lato jesien zima "
    "preferred fixed fest fast fijo fixe fisso vast riferimento "
    "under 18 who is which t "
    "of the a an is and or to for in on at by per with her his your my our der die das des dem "
    "den vom von zum zur und oder im le la les l du de d et ou en au aux el los las del y o u e "
    "al di il lo gli dello della dei da do dos um com het van een og och eller av i pa w z ze "
    "na se ja va sau te m f x yrs years jahre ans anos anni jaar ar lat let vuotta dd mm yyyy "
    "jj tt aaaa if known optional first last 1 2 s n h hh main contact kontakt contatto usual "
    "regular personal current full vollstandig complet completo ber legal legale educacao "
    "ansprechpartner combien r innen would like "
)
FILL = frozenset(_FILL_WORDS.split())
# Whose something is: *Player's first name*, *Mail ragazzo*.
_OWNERS_WORDS = (
    "student students pupil pupils player players member members junior juniors child childs "
    "children kid kids schuler schulers schulerin spieler kind kindes mitglied teilnehmer "
    "jugendlicher eleve enfant joueur jeune stagiaire alumno alumna nino nina jugador hijo "
    "hija chico chica allievo allieva ragazzo ragazza bambino bambina giocatore figlio aluno "
    "aluna jogador crianca leerling speler jeugdlid elev elevs elevens spelare barn barnets "
    "juniorens ungdom spiller spillerens uczen ucznia zawodnik zawodnika dziecko dziecka zak "
    "zaka hrac hrace dite ditete oppilas oppilaan pelaaja pelaajan lapsi lapsen juniori "
    "juniorin "
)
OWNERS = frozenset(_OWNERS_WORDS.split())
# Words that belong to one field each, and say another thing beside the others.
BESIDES = {
    thing: (frozenset(fields.split()), frozenset(words.split()))
    for thing, fields, words in (
        (
            "date",
            "born day",
            "date dat datum data fecha dato dag jour dia tarih pvm datos f",
        ),
        ("year", "born", "year yr jahr annee ano anno jaar ar rok rik vuosi jahrgang"),
        (
            "number",
            "phone guardian_phone",
            "number no nr num numero nummer numer numar cislo n nro numara tel",
        ),
        (
            "address",
            "email guardian_email",
            "address addr adresse adres adresa adress indirizzo endereco direccion osoite adr",
        ),
        ("mobile", "phone guardian_phone", "mobile private privat home work dom"),
        ("title", "coach", "lead head main resp referent vaste ansv huvud haupt"),
        ("time", "minutes", "time spent"),
        (
            "lesson",
            "weekday at lesson coach day",
            (
                "kurs training trainings entreno entrenamiento corso treino treinos trening "
                "traening træning traning treninku treningu zajec harjoitus allenamento "
                "entrainement practice "
                "lesson clase cours aula lekce lekcji les lezione lektion unterricht unterrichts"
            ),
        ),
    )
}

_DAYS = (
    (
        "monday man mon mo montag lundi lun lunes lunedi maandag ma mandag måndag maanantai "
        "poniedzialek poniedziałek pon pn pondeli po pondelok ponedeljek ponedjeljak hetfo "
        "luni lu pazartesi pzt δευτερα δευ понедельник понеділок пн 月曜日 月曜 月 월요일 월 "
        "星期一 周一 週一 礼拜一 segunda seg dilluns"
    ),
    (
        "tuesday tue tues tu tirs di dienstag mardi mar martes martedi dinsdag tirsdag tir "
        "tisdag "
        "tis tiistai ti wtorek wt utery ut utorok torek uto utorak kedd marti salı sal τριτη "
        "τρι вторник вівторок вт 火曜日 火曜 火 화요일 화 星期二 周二 週二 礼拜二 terca ter "
        "dimarts"
    ),
    (
        "wednesday wed we weds mi mittwoch mercredi mer miercoles mie mercoledi woensdag wo "
        "onsdag ons keskiviikko ke sroda środa sr streda st sreda sri srijeda szerda miercuri "
        "carsamba car τεταρτη τετ среда середа ср 水曜日 水曜 水 수요일 수 星期三 周三 週三 "
        "礼拜三 quarta qua dimecres"
    ),
    (
        "thursday thu thur thurs th do donnerstag jeudi jeu jueves jue giovedi gio donderdag "
        "torsdag tor tors torstai to czwartek czw cz ctvrtek ct stvrtok cetrtek cet cetvrtak "
        "csutortok joi persembe per πεμπτη πεμ четверг четвер чт 木曜日 木曜 木 목요일 목 "
        "星期四 周四 週四 礼拜四 quinta qui dijous"
    ),
    (
        "friday fri fr freitag vendredi ven viernes vie venerdi vrijdag vr fredag fre "
        "perjantai pe piatek piątek pt patek pa piatok petek pet petak pentek vineri cuma cum "
        "παρασκευη παρ пятница п'ятниця пт 金曜日 金曜 金 금요일 금 星期五 周五 週五 礼拜五 "
        "sexta sex divendres"
    ),
    (
        "saturday sat sa samstag sonnabend samedi sam sabado sab sabato zaterdag za lordag "
        "lor lørdag lør lauantai la sobota sob so subota szombat sambata cumartesi cmt "
        "σαββατο σαβ суббота субота сб 土曜日 土曜 土 토요일 토 星期六 周六 週六 礼拜六 "
        "dissabte"
    ),
    (
        "sunday sun su sonntag dimanche dim domingo dom domenica zondag zo sondag son søndag "
        "søn sunnuntai niedziela niedz nd ndz nedele ne nedela nedelja ned nedjelja vasarnap "
        "duminica pazar paz κυριακη κυρ воскресенье неділя вс нд 日曜日 日曜 日 일요일 일 "
        "星期日 周日 週日 礼拜天 星期天 周天 diumenge"
    ),
)
WEEKDAYS = {word: number for number, words in enumerate(_DAYS) for word in words.split()}
# What stands before somebody's name, or behind it.
_TITLES = (
    "coach trainer trainerin pro mr mrs ms miss dr herr frau m mme mlle monsieur madame sr "
    "sra srta sig dott prof professor instructor maestro dhr mevr hr fru tranare trener pan "
    "pani hoca bay bayan コーチ 先生 さん 코치 코치님 프로 선생님 教练 教練 老师 老師"
)
TITLES = frozenset(_TITLES.split())
# What a line below or between the people is called that names nobody.
_NOBODY = (
    "total totals sum summe gesamt insgesamt anzahl totaal somme suma soma somma totale "
    "totalt samlet yhteensa razem celkem celkom osszesen toplam ukupno skupaj συνολο итого "
    "всего разом 合計 合计 總計 总计 합계 총계 計 계 group gruppe groupe grupo gruppo groep "
    "grupp ryhma grupa skupina csoport grup ομαδα группа група グループ 그룹 组"
)
NOBODY = frozenset(_NOBODY.split())
# What an hour that nobody has is called in a plan of the week.
_FREE = (
    "free open available vacant frei leer offen libre vide disponible vacio libero vuoto livre "
    "vago "
    "vrij leeg ledig ledigt fri vapaa wolne wolny volno volne szabad liber bos boş ελευθερο "
    "свободно "
    "вільно 空き 空 비어 빈자리 空闲 空位 pause break pauza prazno closed zu geschlossen ferme"
)
FREE = frozenset(_FREE.split())
