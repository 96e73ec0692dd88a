#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "ingest/stamp_names.h"

#include <string.h>

/* From the locales of the GNU C library 2.36, as they are spelt there: whole names, those that
 * stand in a date, and short ones; '-' where it has none, one below three letters, or one that two
 * months share. */
struct names_row {
    const char *language;
    const char *words;
};

/* Calls for each word of a row, with its place among them from 1. */
static void each_word(const struct names_row *row,
                      void check(const char *language, const char *word, size_t n, int place))
{
    int place = 0;
    for (const char *at = row->words; *at != '\0'; at += strspn(at, " ")) {
        size_t n = strcspn(at, " ");
        check(row->language, at, n, ++place);
        at += n;
    }
}

static void check_month(const char *language, const char *word, size_t n, int place)
{
    const char *at = word;
    if (word[0] == '-')
        return;
    int month = stamp_month_take(&at, word + n);
    if (month != place || (at != word + n && (*at != '.' || at + 1 != word + n)))
        fail_msg("%s '%.*s': month %d, not %d; %zu bytes left", language, (int)n, word, month,
                 place, (size_t)(word + n - at));
}

static void months_are_known(void **state)
{
    static const struct names_row rows[] = {
        {"English", "January February March April May June July August September October November "
                    "December"},
        {"English", "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec"},
        {"German", "Januar Februar März April Mai Juni Juli August September Oktober November "
                   "Dezember"},
        {"German", "Jan Feb Mär Apr Mai Jun Jul Aug Sep Okt Nov Dez"},
        {"Austrian German",
         "Jänner Februar März April Mai Juni Juli August September Oktober November "
         "Dezember"},
        {"Austrian German", "Jän Feb Mär Apr Mai Jun Jul Aug Sep Okt Nov Dez"},
        {"French", "janvier février mars avril mai juin juillet août septembre octobre novembre "
                   "décembre"},
        {"French", "janv. févr. mars avril mai juin juil. août sept. oct. nov. déc."},
        {"Spanish",
         "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre "
         "diciembre"},
        {"Spanish", "ene feb mar abr may jun jul ago sep oct nov dic"},
        {"Italian", "gennaio febbraio marzo aprile maggio giugno luglio agosto settembre ottobre "
                    "novembre dicembre"},
        {"Italian", "gen feb mar apr mag giu lug ago set ott nov dic"},
        {"Portuguese",
         "janeiro fevereiro março abril maio junho julho agosto setembro outubro novembro "
         "dezembro"},
        {"Portuguese", "jan fev mar abr mai jun jul ago set out nov dez"},
        {"Dutch", "januari februari maart april mei juni juli augustus september oktober november "
                  "december"},
        {"Dutch", "jan feb mrt apr mei jun jul aug sep okt nov dec"},
        {"Danish", "januar februar marts april maj juni juli august september oktober november "
                   "december"},
        {"Danish", "jan feb mar apr maj jun jul aug sep okt nov dec"},
        {"Norwegian", "januar februar mars april mai juni juli august september oktober november "
                      "desember"},
        {"Norwegian", "jan. feb. mars april mai juni juli aug. sep. okt. nov. des."},
        {"Swedish", "januari februari mars april maj juni juli augusti september oktober november "
                    "december"},
        {"Swedish", "jan feb mar apr maj jun jul aug sep okt nov dec"},
        {"Finnish", "tammikuu helmikuu maaliskuu huhtikuu toukokuu kesäkuu heinäkuu elokuu syyskuu "
                    "lokakuu marraskuu joulukuu"},
        {"Finnish", "tammi helmi maalis huhti touko kesä heinä elo syys loka marras joulu"},
        {"Polish",
         "stycznia lutego marca kwietnia maja czerwca lipca sierpnia września października "
         "- grudnia"},
        {"Polish",
         "styczeń luty marzec kwiecień maj czerwiec lipiec sierpień wrzesień październik - "
         "grudzień"},
        {"Polish", "sty lut mar kwi maj cze - sie wrz paź - gru"},
        {"Czech", "ledna února března dubna května června července srpna září října listopadu "
                  "prosince"},
        {"Czech", "leden únor březen duben květen červen červenec srpen září říjen - prosinec"},
        {"Czech", "led úno bře dub kvě čen čec - zář říj - pro"},
        {"Slovak",
         "január február marec apríl máj jún júl august september október november december"},
        {"Slovak", "jan feb mar apr máj jún júl aug sep okt nov dec"},
        {"Croatian",
         "siječnja veljače ožujka travnja svibnja lipnja srpnja kolovoza rujna - studenoga "
         "prosinca"},
        {"Croatian",
         "siječanj veljača ožujak travanj svibanj lipanj srpanj kolovoz rujan - studeni "
         "prosinac"},
        {"Croatian", "sij velj ožu tra svi - - kol ruj - stu pro"},
        {"Slovenian",
         "januar februar marec april maj junij julij avgust september oktober november "
         "december"},
        {"Slovenian", "jan feb mar apr maj jun jul avg sep okt nov dec"},
        {"Hungarian",
         "január február március április május június július augusztus szeptember október "
         "november december"},
        {"Hungarian", "jan febr márc ápr máj jún júl aug szept okt nov dec"},
        {"Romanian",
         "ianuarie februarie martie aprilie mai iunie iulie august septembrie octombrie "
         "noiembrie decembrie"},
        {"Romanian", "ian feb mar apr mai iun iul aug sep oct nov dec"},
        {"Turkish", "Ocak Şubat Mart Nisan Mayıs Haziran Temmuz Ağustos Eylül Ekim Kasım Aralık"},
        {"Turkish", "Oca Şub Mar Nis May Haz Tem Ağu Eyl Eki Kas Ara"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        each_word(&rows[i], check_month);
}

static void check_day(const char *language, const char *word, size_t n, int place)
{
    const char *at = word;
    (void)place;
    if (!stamp_day_take(&at, word + n))
        fail_msg("%s '%.*s' is no day", language, (int)n, word);
}

static void days_are_known(void **state)
{
    static const struct names_row rows[] = {
        {"English",
         "Sunday Monday Tuesday Wednesday Thursday Friday Saturday Sun Mon Tue Wed Thu Fri "
         "Sat"},
        {"German",
         "Sonntag Montag Dienstag Mittwoch Donnerstag Freitag Samstag So Mo Di Mi Do Fr Sa"},
        {"Austrian German",
         "Sonntag Montag Dienstag Mittwoch Donnerstag Freitag Samstag So Mo Di Mi Do Fr Sa"},
        {"French",
         "dimanche lundi mardi mercredi jeudi vendredi samedi dim. lun. mar. mer. jeu. ven. "
         "sam."},
        {"Spanish",
         "domingo lunes martes miércoles jueves viernes sábado dom lun mar mié jue vie sáb"},
        {"Italian",
         "domenica lunedì martedì mercoledì giovedì venerdì sabato dom lun mar mer gio ven "
         "sab"},
        {"Portuguese",
         "domingo segunda terça quarta quinta sexta sábado dom seg ter qua qui sex sáb"},
        {"Dutch",
         "zondag maandag dinsdag woensdag donderdag vrijdag zaterdag zo ma di wo do vr za"},
        {"Danish",
         "søndag mandag tirsdag onsdag torsdag fredag lørdag søn man tir ons tor fre lør"},
        {"Norwegian",
         "søndag mandag tirsdag onsdag torsdag fredag lørdag sø. ma. ti. on. to. fr. lø."},
        {"Swedish",
         "söndag måndag tisdag onsdag torsdag fredag lördag sön mån tis ons tor fre lör"},
        {"Finnish",
         "sunnuntai maanantai tiistai keskiviikko torstai perjantai lauantai su ma ti ke to "
         "pe la"},
        {"Polish", "niedziela poniedziałek wtorek środa czwartek piątek sobota nie pon wto śro czw "
                   "pią sob"},
        {"Czech", "Neděle Pondělí Úterý Středa Čtvrtek Pátek Sobota Ne Po Út St Čt Pá So"},
        {"Slovak", "Nedeľa Pondelok Utorok Streda Štvrtok Piatok Sobota Ne Po Ut St Št Pi So"},
        {"Croatian",
         "nedjelja ponedjeljak utorak srijeda četvrtak petak subota ned pon uto sri čet pet "
         "sub"},
        {"Slovenian",
         "nedelja ponedeljek torek sreda četrtek petek sobota ned pon tor sre čet pet sob"},
        {"Hungarian", "vasárnap hétfő kedd szerda csütörtök péntek szombat sze cs szo"},
        {"Romanian", "duminică luni marți miercuri joi vineri sâmbătă Du Lu Ma Mi Jo Vi Sb"},
        {"Turkish",
         "Pazar Pazartesi Salı Çarşamba Perşembe Cuma Cumartesi Paz Pzt Sal Çrş Prş Cum Cts"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        each_word(&rows[i], check_day);
}

static void other_words_are_no_month(void **state)
{
    static const struct {
        const char *word;
        int month;
    } rows[] = {
        {"lip", MONTH_OF_TWO},
        {"lis", MONTH_OF_TWO},
        {"listopad", MONTH_OF_TWO},
        {"listopada", MONTH_OF_TWO},
        {"srp", MONTH_OF_TWO},
        {"jui", MONTH_OF_TWO},
        {"červ", MONTH_OF_TWO},
        {"listopadu", 11},
        {"lipnja", 6},
        {"lipca", 7},
        {"srpnja", 7},
        {"srpna", 8},
        {"mar", 3},
        {"marr", 11},
        {"ju", MONTH_UNKNOWN},
        {"ma", MONTH_UNKNOWN},
        {"junk", MONTH_UNKNOWN},
        {"lundi", MONTH_UNKNOWN},
        {"pm", MONTH_UNKNOWN},
        {"zzz", MONTH_UNKNOWN},
        {"aaa", MONTH_UNKNOWN},
        {"июня", MONTH_UNKNOWN},
        {"6月", MONTH_UNKNOWN},
        {"", MONTH_UNKNOWN},
        {"septembersseptemberssept", MONTH_UNKNOWN},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const char *at = rows[i].word;
        int month = stamp_month_take(&at, at + strlen(at));
        if (month != rows[i].month)
            fail_msg("'%s': month %d, not %d", rows[i].word, month, rows[i].month);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(months_are_known),
        cmocka_unit_test(days_are_known),
        cmocka_unit_test(other_words_are_no_month),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
