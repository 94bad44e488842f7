package labels

import "slices"

// Action is what a wall card asks for.
type Action string

// The actions of wall cards, as `codes` names them; progress cards bear the
// percentage in their key.
const (
	ActionOff      Action = "off"
	ActionDone     Action = "done"
	ActionProgress Action = "progress"
	ActionReturn   Action = "return"
	ActionWaste    Action = "waste"
	ActionScrap    Action = "scrap"
	ActionUndo     Action = "undo"
	ActionCancel   Action = "cancel"
	ActionCheck    Action = "check"   // the key says which
	ActionProblem  Action = "problem" // with a key, a picture of one
)

// worded is the action whose words a card bears: checks and problems have their
// own for each key.
func worded(a Action, key string) Action {
	if key == "" || a != ActionCheck && a != ActionProblem {
		return a
	}
	return a + " " + Action(key)
}

// Languages lists the languages that wall cards are worded in.
var Languages = []string{"en", "de", "fr", "es", "pt", "it", "nl", "pl", "ro", "uk", "ru", "tr", "ar", "hi", "vi"}

// languageNames are what the languages call themselves, in the order of Languages.
var languageNames = []string{
	"English", "Deutsch", "Français", "Español", "Português", "Italiano", "Nederlands", "Polski",
	"Română", "Українська", "Русский", "Türkçe", "العربية", "हिन्दी", "Tiếng Việt",
}

// LanguageName is what a language of Languages calls itself.
func LanguageName(language string) string {
	if i := slices.Index(Languages, language); i >= 0 {
		return languageNames[i]
	}
	return language
}

// wallWords holds the words of each action, in the order of Languages.
var wallWords = map[Action][]string{
	ActionOff: {
		"Clock off", "Ausstempeln", "Fin du travail", "Fin del trabajo", "Fim do trabalho", "Fine lavoro", "Uitklokken", "Koniec pracy",
		"Sfârșitul lucrului", "Кінець роботи", "Конец работы", "İş çıkışı", "انتهاء العمل", "काम समाप्त", "Kết thúc làm việc",
	},
	ActionDone: {
		"Job done", "Auftrag fertig", "Tâche terminée", "Trabajo terminado", "Trabalho concluído", "Lavoro finito", "Klus klaar", "Zadanie gotowe",
		"Lucrare gata", "Роботу виконано", "Работа выполнена", "İş bitti", "المهمة مكتملة", "काम पूरा", "Xong việc",
	},
	ActionProgress: {
		"Progress", "Fortschritt", "Avancement", "Avance", "Progresso", "Avanzamento", "Voortgang", "Postęp",
		"Progres", "Виконано", "Выполнено", "İlerleme", "نسبة الإنجاز", "प्रगति", "Tiến độ",
	},
	ActionReturn: {
		"Return to stock", "Zurück ins Lager", "Retour au stock", "Devolver al almacén", "Devolver ao armazém", "Rendere al magazzino", "Terug naar magazijn", "Zwrot do magazynu",
		"Înapoi la magazie", "Повернути на склад", "Вернуть на склад", "Depoya iade", "إرجاع إلى المخزن", "भंडार में वापस", "Trả lại kho",
	},
	ActionWaste: {
		"Waste", "Abfall", "Déchets", "Desperdicio", "Desperdício", "Sfrido", "Afval", "Odpad",
		"Deșeuri", "Відходи", "Отходы", "Fire", "نفايات", "अपशिष्ट", "Phế liệu",
	},
	ActionScrap: {
		"Write stock off", "Bestand abschreiben", "Mise au rebut", "Dar de baja", "Abater ao stock", "Scarico per perdita", "Voorraad afboeken", "Spisać ze stanu",
		"Scoatere din stoc", "Списати запас", "Списать запас", "Stoktan düş", "شطب من المخزون", "भंडार से हटाएँ", "Xóa khỏi kho",
	},
	ActionUndo: {
		"Undo", "Rückgängig", "Défaire", "Deshacer", "Desfazer", "Torna indietro", "Ongedaan maken", "Cofnij",
		"Înapoi un pas", "Крок назад", "Шаг назад", "Geri al", "تراجع", "एक कदम पीछे", "Hoàn tác",
	},
	ActionCancel: {
		"Start over", "Neu beginnen", "Recommencer", "Empezar de nuevo", "Recomeçar", "Ricomincia", "Opnieuw beginnen", "Zacznij od nowa",
		"Ia-o de la capăt", "Почати знову", "Начать заново", "Baştan başla", "البدء من جديد", "फिर से शुरू करें", "Làm lại từ đầu",
	},
	"check vacuum": {
		"Vacuum drop", "Vakuumabfall", "Chute de vide", "Caída de vacío", "Queda de vácuo", "Caduta di vuoto", "Vacuümverlies", "Spadek próżni",
		"Pierdere de vid", "Падіння вакууму", "Падение вакуума", "Vakum kaybı", "انخفاض التفريغ", "निर्वात में गिरावट", "Sụt chân không",
	},
	"check leak": {
		"Leaks found", "Lecks gefunden", "Fuites trouvées", "Fugas halladas", "Fugas achadas", "Perdite trovate", "Lekken gevonden", "Znalezione nieszczelności",
		"Scurgeri găsite", "Знайдені витоки", "Найденные утечки", "Bulunan kaçaklar", "التسريبات المكتشفة", "मिले रिसाव", "Số chỗ rò",
	},
	"check temperature": {
		"Air temperature", "Lufttemperatur", "Température de l’air", "Temperatura del aire", "Temperatura do ar", "Temperatura dell’aria", "Luchttemperatuur", "Temperatura powietrza",
		"Temperatura aerului", "Температура повітря", "Температура воздуха", "Hava sıcaklığı", "حرارة الهواء", "हवा का तापमान", "Nhiệt độ không khí",
	},
	"check humidity": {
		"Air humidity", "Luftfeuchte", "Humidité de l’air", "Humedad del aire", "Humidade do ar", "Umidità dell’aria", "Luchtvochtigheid", "Wilgotność powietrza",
		"Umiditatea aerului", "Вологість повітря", "Влажность воздуха", "Hava nemi", "رطوبة الهواء", "हवा की नमी", "Độ ẩm không khí",
	},
	ActionProblem: {
		"Problem", "Problem", "Problème", "Problema", "Problema", "Problema", "Probleem", "Problem",
		"Problemă", "Проблема", "Проблема", "Sorun", "مشكلة", "समस्या", "Sự cố",
	},
	"problem leak": {
		"Leak", "Leck", "Fuite", "Fuga", "Fuga", "Perdita", "Lek", "Nieszczelność",
		"Scurgere", "Витік", "Утечка", "Kaçak", "تسريب", "रिसाव", "Rò rỉ",
	},
	"problem dry_spot": {
		"Dry spot", "Trockene Stelle", "Zone sèche", "Zona seca", "Zona seca", "Zona secca", "Droge plek", "Suche miejsce",
		"Zonă uscată", "Суха ділянка", "Сухое место", "Kuru bölge", "بقعة جافة", "सूखा स्थान", "Chỗ khô nhựa",
	},
	"problem damage": {
		"Damage", "Schaden", "Dommage", "Daño", "Dano", "Danno", "Schade", "Uszkodzenie",
		"Deteriorare", "Пошкодження", "Повреждение", "Hasar", "ضرر", "क्षति", "Hư hỏng",
	},
	"problem missing": {
		"Missing material", "Material fehlt", "Matériel manquant", "Falta material", "Falta material", "Materiale mancante", "Materiaal ontbreekt", "Brak materiału",
		"Lipsă material", "Бракує матеріалу", "Не хватает материала", "Eksik malzeme", "مادة ناقصة", "सामग्री नहीं है", "Thiếu vật liệu",
	},
	"problem waiting": {
		"Waiting", "Warten", "Attente", "En espera", "À espera", "In attesa", "Wachten", "Czekanie",
		"Așteptare", "Очікування", "Ожидание", "Bekleme", "انتظار", "प्रतीक्षा", "Đang chờ",
	},
	"problem unsafe": {
		"Unsafe", "Gefahr", "Danger", "Peligro", "Perigo", "Pericolo", "Onveilig", "Zagrożenie",
		"Pericol", "Небезпечно", "Опасно", "Tehlikeli", "غير آمن", "असुरक्षित", "Không an toàn",
	},
	"problem idea": {
		"Idea", "Idee", "Idée", "Idea", "Ideia", "Idea", "Idee", "Pomysł",
		"Idee", "Ідея", "Идея", "Fikir", "فكرة", "सुझाव", "Ý tưởng",
	},
}

// WallWord is the word for an action in a language, or "".
func WallWord(a Action, language string) string {
	for i, l := range Languages {
		if l == language && i < len(wallWords[a]) {
			return wallWords[a][i]
		}
	}
	return ""
}
