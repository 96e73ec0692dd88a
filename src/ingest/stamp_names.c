#include "ingest/stamp_names.h"

#include "base/fold.h"

#include <string.h>

/* By the alphabet. A name whose beginning is another of the same month stands for both. */
static const struct {
    char name[14];
    signed char month;
} months[] = {
    {"abril", 4}, {"agosto", 8}, {"agustos", 8}, {"aout", 8}, {"aprile", 4}, {"aprilie", 4},
    {"aprilis", 4}, {"aralik", 12}, {"augusti", 8}, {"augustus", 8}, {"augusztus", 8},
    {"avgust", 8}, {"avril", 4}, {"brezen", 3}, {"brezna", 3}, {"cec", 7}, {"cen", 6},
    {"cerven", 6}, {"cervence", 7}, {"cervenec", 7}, {"cervna", 6}, {"cvc", 7}, {"cvn", 6},
    {"czerwca", 6}, {"czerwiec", 6}, {"december", 12}, {"decembre", 12}, {"decembrie", 12},
    {"desember", 12}, {"dezember", 12}, {"dezembro", 12}, {"dicembre", 12}, {"diciembre", 12},
    {"duben", 4}, {"dubna", 4}, {"ekim", 10}, {"elokuuta", 8}, {"enero", 1}, {"eylul", 9},
    {"febbraio", 2}, {"febrero", 2}, {"februarie", 2}, {"february", 2}, {"fevereiro", 2},
    {"fevrier", 2}, {"gennaio", 1}, {"giugno", 6}, {"grudnia", 12}, {"grudzien", 12},
    {"haziran", 6}, {"heinakuuta", 7}, {"helmikuuta", 2}, {"huhtikuuta", 4}, {"ianuarie", 1},
    {"iulie", 7}, {"iunie", 6}, {"jaenner", 1}, {"janeiro", 1}, {"janner", 1}, {"januari", 1},
    {"january", 1}, {"janvier", 1}, {"joulukuuta", 12}, {"juillet", 7}, {"juin", 6}, {"julho", 7},
    {"julij", 7}, {"julio", 7}, {"julius", 7}, {"july", 7}, {"june", 6}, {"junho", 6},
    {"junij", 6}, {"junio", 6}, {"junius", 6}, {"kasim", 11}, {"kesakuuta", 6}, {"kolovoza", 8},
    {"kveten", 5}, {"kvetna", 5}, {"kwiecien", 4}, {"kwietnia", 4}, {"leden", 1}, {"ledna", 1},
    {"lip", 6}, {"lip", 7}, {"lipanj", 6}, {"lipca", 7}, {"lipiec", 7}, {"lipnja", 6},
    {"lis", 10}, {"lis", 11}, {"listopad", 10}, {"listopad", 11}, {"listopada", 10},
    {"listopada", 11}, {"listopadu", 11}, {"lokakuuta", 10}, {"luglio", 7}, {"lutego", 2},
    {"luty", 2}, {"maaliskuuta", 3}, {"maart", 3}, {"maerz", 3}, {"maggio", 5}, {"maio", 5},
    {"maja", 5}, {"majus", 5}, {"mar", 3}, {"marca", 3}, {"march", 3}, {"marcius", 3},
    {"marco", 3}, {"marec", 3}, {"marraskuuta", 11}, {"mars", 3}, {"martie", 3}, {"marts", 3},
    {"marzec", 3}, {"marzo", 3}, {"mayis", 5}, {"mayo", 5}, {"mei", 5}, {"mrt", 3}, {"nisan", 4},
    {"noiembrie", 11}, {"november", 11}, {"novembre", 11}, {"novembro", 11}, {"noviembre", 11},
    {"ocak", 1}, {"october", 10}, {"octobre", 10}, {"octombrie", 10}, {"octubre", 10},
    {"oktober", 10}, {"ottobre", 10}, {"outubro", 10}, {"ozujak", 3}, {"ozujka", 3},
    {"pazdziernika", 10}, {"prosinac", 12}, {"prosinca", 12}, {"prosince", 12}, {"prosinec", 12},
    {"rijen", 10}, {"rijna", 10}, {"rujan", 9}, {"rujna", 9}, {"september", 9}, {"septembre", 9},
    {"septembrie", 9}, {"septiembre", 9}, {"setembro", 9}, {"settembre", 9}, {"sierpien", 8},
    {"sierpnia", 8}, {"sijecanj", 1}, {"sijecnja", 1}, {"srp", 7}, {"srp", 8}, {"srpanj", 7},
    {"srpen", 8}, {"srpna", 8}, {"srpnja", 7}, {"studeni", 11}, {"studenoga", 11}, {"styczen", 1},
    {"stycznia", 1}, {"subat", 2}, {"svibanj", 5}, {"svibnja", 5}, {"syyskuuta", 9},
    {"szeptember", 9}, {"tammikuuta", 1}, {"temmuz", 7}, {"toukokuuta", 5}, {"travanj", 4},
    {"travnja", 4}, {"unora", 2}, {"veljaca", 2}, {"veljace", 2}, {"wrzesien", 9},
    {"wrzesnia", 9}, {"zari", 9},
};
static const char days[][14] = {
    "carsamba", "cetrtek", "cetvrtak", "crs", "cs", "csutortok", "ct", "cts", "ctvrtek",
    "cumartesi", "czwartek", "di", "dienstag", "dimanche", "dinsdag", "do", "domenica", "domingo",
    "donderdag", "donnerstag", "du", "duminica", "fr", "fredag", "freitag", "friday", "giovedi",
    "hetfo", "jeudi", "jo", "joi", "jueves", "ke", "kedd", "keskiviikko", "la", "lauantai", "lo",
    "lordag", "lu", "lundi", "lunedi", "lunes", "luni", "ma", "maanantai", "maandag", "mandag",
    "mardi", "martedi", "martes", "marti", "mercoledi", "mercredi", "mi", "miercoles", "miercuri",
    "mittwoch", "mo", "monday", "montag", "ne", "nedela", "nedele", "nedelja", "nedjelja",
    "niedziela", "on", "onsdag", "pa", "patek", "pazartesi", "pe", "pentek", "perjantai",
    "persembe", "petak", "petek", "pi", "piatek", "piatok", "po", "pondeli", "pondelok",
    "ponedeljek", "ponedjeljak", "poniedzialek", "prs", "pzt", "quarta", "quinta", "sa", "sabado",
    "sabato", "sali", "sambata", "samedi", "samstag", "saturday", "sb", "segunda", "sexta", "so",
    "sobota", "sondag", "sonntag", "sreda", "srijeda", "sroda", "st", "streda", "stvrtok", "su",
    "subota", "sunday", "sunnuntai", "szerda", "szombat", "terca", "thursday", "ti", "tiistai",
    "tirsdag", "tisdag", "to", "torek", "torsdag", "torstai", "tuesday", "ut", "utery", "utorak",
    "utorok", "vasarnap", "vendredi", "venerdi", "vi", "viernes", "vineri", "vr", "vrijdag",
    "wednesday", "wo", "woensdag", "wtorek", "za", "zaterdag", "zo", "zondag",
};
enum {
    MONTHS = sizeof months / sizeof months[0],
    DAYS = sizeof days / sizeof days[0],
    LETTERS_LEAST = 3
};

const char *stamp_names_languages(void)
{
    return "Croatian, Czech, Danish, Dutch, English, Finnish, French, German, Hungarian, Italian, "
           "Norwegian, Polish, Portuguese, Romanian, Slovak, Slovenian, Spanish, Swedish and "
           "Turkish";
}

/* The first month's name that is not in front of a word by the alphabet. */
static size_t first_month(const char *word)
{
    size_t low = 0, high = MONTHS;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (strcmp(months[middle].name, word) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* A whole name counts more than the beginning of another. */
static int month_of(const char *word)
{
    size_t n = strlen(word), i = first_month(word);
    int month = MONTH_UNKNOWN;
    bool whole = i < MONTHS && strcmp(months[i].name, word) == 0;
    for (; n >= LETTERS_LEAST && i < MONTHS && strncmp(months[i].name, word, n) == 0; i++) {
        if (whole && months[i].name[n] != '\0')
            break;
        month = month == MONTH_UNKNOWN || month == months[i].month ? months[i].month : MONTH_OF_TWO;
    }
    return month;
}

int stamp_month_take(const char **at, const char *end)
{
    char word[FOLD_WORD_SIZE];
    *at = fold_word(*at, end, word);
    return month_of(word);
}

bool stamp_day_take(const char **at, const char *end)
{
    char word[FOLD_WORD_SIZE];
    *at = fold_word(*at, end, word);
    size_t n = strlen(word);
    for (size_t i = 0; i < DAYS; i++)
        if (strcmp(days[i], word) == 0 ||
            (n >= LETTERS_LEAST && strncmp(days[i], word, n) == 0))
            return true;
    return false;
}
