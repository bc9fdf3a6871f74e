//! Owns the closed lists of plain words that sound-alike matching steps round. They are grammar, not trade: the lexicon has the rest.

use std::collections::HashSet;
use std::sync::LazyLock;

/// Words that hold sentences together, counts and the plainest adjectives: a window edge made of them needs more evidence.
pub(super) static LITTLE: LazyLock<HashSet<&'static str>> = LazyLock::new(|| {
    set("a about above across after again against ago all almost along already also always an and \
         another any anything are around as at bad be because been before behind being below beside \
         between big both bright but by can cheap clean cold come could dark deep did dirty do does \
         doing down dry dull during each early eight either empty even ever every everything fast few \
         five flat for four from full get go good got had hard has have he heavy her here him his hot \
         how i if in inside into is it its just late later least less let like long loud low made \
         make many may maybe me might more most much my narrow near never new next nine no nor not \
         nothing now of off often old on once one only onto open or other our out outside over own \
         put quick quiet quite rather rough round said same say see seven shallow sharp she short \
         should since six slow smooth so soft some something soon still strong such than that the \
         their them then there these they thick thin this those though three through till to too took \
         toward towards two under until up upon us very warm was we weak well went were wet what when \
         where which while who whole whose wide will with without would yes yet you your")
});

/// Little words that may be the name of a letter.
pub(super) static BY_NAME: LazyLock<HashSet<&'static str>> = LazyLock::new(|| set("are be see you"));

/// The vehicle itself, money and time are spoken of in every other sentence and never stand for a part.
pub(super) static ASIDE: LazyLock<HashSet<&'static str>> = LazyLock::new(|| {
    set("buck bus cab car cent coach day dollar euro hour inch lorry mile minibus minute month motor \
         pickup pound rig tractor trailer truck unit van vehicle wagon week year")
});

/// Past forms that do not end in -ed.
pub(super) static PAST: LazyLock<HashSet<&'static str>> = LazyLock::new(|| {
    set("bent bled blew bought broke built burnt came caught cut did done fell felt found gave gone \
         got grew heard held hit hung kept knew laid lay led left let lit lost made meant met paid \
         put ran read rode rose said sat saw sent set shot shut sold spent split spoke spun stole \
         stood struck stuck stuck swelled swung thought threw told took tore went woke won wore worn \
         wound wrote")
});

fn set(words: &'static str) -> HashSet<&'static str> {
    words.split_whitespace().collect()
}
