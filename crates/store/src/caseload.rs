//! The list of patients: one summary for each episode, and why it needs attention. Kept in the same transaction as
//! the entries it is computed from, so that it is never behind them.

use std::collections::BTreeMap;

use jiff::Timestamp;

use crate::StoreError;
use crate::value::{Row, Tx, Value, query_one, query_opt};

/// What the list shows of an episode.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Summary {
    /// The episode: its stream.
    pub episode: String,
    /// The account of the therapist in charge.
    pub therapist: String,
    /// The patient's name.
    pub name: String,
    /// The birth date, ISO text.
    pub born: Option<String>,
    /// The clinic's record number.
    pub record: Option<String>,
    /// The protocol's identifier.
    pub protocol: String,
    /// False when the episode has ended.
    pub open: bool,
    /// When the summary was computed.
    pub updated: Timestamp,
    /// The entry up to which it was computed.
    pub head: u64,
    /// Everything else the list needs, as JSON.
    pub body: String,
}

/// One reason for attention, in force from a day and, when known, until before another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AttentionRow {
    /// What sort of reason.
    pub reason: String,
    /// How bad; the highest comes first.
    pub rank: i64,
    /// The first day, ISO text.
    pub from_day: String,
    /// The first day on which it is over, ISO text.
    pub until_day: Option<String>,
    /// What the line says, as the caller likes (JSON).
    pub detail: String,
    /// The entry it comes from.
    pub entry: Option<u64>,
}

/// Replaces an episode's summary and its reasons for attention.
///
/// Most posts change neither the name nor the order on the list. Only what differs is written: each index entry that
/// stays is a page less to encrypt and flush.
///
/// # Errors
/// Errors of the database.
pub fn put(tx: &mut dyn Tx, summary: &Summary, attention: &[AttentionRow]) -> Result<(), StoreError> {
    let same_place = listed_alike(tx, summary)?;
    if same_place {
        update_rest(tx, summary)?;
    } else {
        put_whole(tx, summary)?;
    }
    let old = reasons(tx, &summary.episode)?;
    for place in 0..old.len().max(attention.len()) {
        match (old.get(place), attention.get(place)) {
            (Some(old), Some(new)) if same_place && old == new => {}
            (Some(old), Some(new)) if same_place && sorted_alike(old, new) => {
                update_reason(tx, summary, place, new)?
            }
            (old, new) => {
                if old.is_some() {
                    let at: [Value; 2] = [summary.episode.as_str().into(), (place as u64).into()];
                    tx.execute("DELETE FROM attention WHERE episode = $1 AND place = $2", &at)?;
                }
                if let Some(new) = new {
                    insert_reason(tx, summary, place, new)?;
                }
            }
        }
    }
    Ok(())
}

/// Whether the list has the episode already, with the same in everything that an index holds.
fn listed_alike(tx: &mut dyn Tx, s: &Summary) -> Result<bool, StoreError> {
    let sql = "SELECT therapist, name, born, record, open FROM summary WHERE episode = $1";
    let Some(row) = query_opt(tx, sql, &[s.episode.as_str().into()])? else { return Ok(false) };
    Ok(row.text("therapist")? == s.therapist
        && row.text("name")? == s.name
        && row.text_opt("born")? == s.born
        && row.text_opt("record")? == s.record
        && row.flag("open")? == s.open)
}

/// An episode's reasons in the order in which they were put.
///
/// # Errors
/// Errors of the database.
pub fn reasons(tx: &mut dyn Tx, episode: &str) -> Result<Vec<AttentionRow>, StoreError> {
    let sql = "SELECT reason, rank, from_day, until_day, detail, entry FROM attention WHERE episode = $1 ORDER BY place";
    tx.query(sql, &[episode.into()])?.iter_mut().map(attention_of).collect()
}

/// Whether two reasons stand at the same place of every index.
fn sorted_alike(a: &AttentionRow, b: &AttentionRow) -> bool {
    (a.rank, &a.from_day, &a.until_day) == (b.rank, &b.from_day, &b.until_day)
}

/// Writes what no index holds.
fn update_rest(tx: &mut dyn Tx, s: &Summary) -> Result<(), StoreError> {
    let values: [Value; 5] = [
        s.protocol.as_str().into(),
        s.updated.into(),
        s.head.into(),
        s.body.as_str().into(),
        s.episode.as_str().into(),
    ];
    let sql = "UPDATE summary SET protocol = $1, updated = $2, head = $3, body = $4 WHERE episode = $5";
    tx.execute(sql, &values).map(drop)
}

fn put_whole(tx: &mut dyn Tx, s: &Summary) -> Result<(), StoreError> {
    let sorted = fold(&s.name);
    let find = [Some(sorted.as_str()), s.record.as_deref(), s.born.as_deref()];
    let find = find.into_iter().flatten().map(fold).collect::<Vec<_>>().join(" ");
    let values: [Value; 12] = [
        s.episode.as_str().into(),
        s.therapist.as_str().into(),
        s.name.as_str().into(),
        sorted.into(),
        find.into(),
        s.born.as_deref().into(),
        s.record.as_deref().into(),
        s.protocol.as_str().into(),
        s.open.into(),
        s.updated.into(),
        s.head.into(),
        s.body.as_str().into(),
    ];
    tx.execute(
        "INSERT INTO summary (episode, therapist, name, name_folded, find, born, record, protocol, open, updated, head, body)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)
         ON CONFLICT (episode) DO UPDATE SET therapist = excluded.therapist, name = excluded.name,
           name_folded = excluded.name_folded, find = excluded.find, born = excluded.born, record = excluded.record,
           protocol = excluded.protocol, open = excluded.open, updated = excluded.updated, head = excluded.head,
           body = excluded.body",
        &values,
    )
    .map(drop)
}

fn update_reason(tx: &mut dyn Tx, s: &Summary, place: usize, row: &AttentionRow) -> Result<(), StoreError> {
    let values: [Value; 5] = [
        row.reason.as_str().into(),
        row.detail.as_str().into(),
        row.entry.into(),
        s.episode.as_str().into(),
        (place as u64).into(),
    ];
    let sql = "UPDATE attention SET reason = $1, detail = $2, entry = $3 WHERE episode = $4 AND place = $5";
    tx.execute(sql, &values).map(drop)
}

fn insert_reason(tx: &mut dyn Tx, s: &Summary, place: usize, row: &AttentionRow) -> Result<(), StoreError> {
    let values: [Value; 10] = [
        s.episode.as_str().into(),
        (place as u64).into(),
        s.therapist.as_str().into(),
        fold(&s.name).into(),
        row.reason.as_str().into(),
        row.rank.into(),
        row.from_day.as_str().into(),
        row.until_day.as_deref().into(),
        row.detail.as_str().into(),
        row.entry.into(),
    ];
    let sql = "INSERT INTO attention (episode, place, therapist, name_folded, reason, rank, from_day, until_day, detail, entry)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)";
    tx.execute(sql, &values).map(drop)
}

/// The episodes with at least one reason in force on a day, worst first: by the highest rank in force, then by the
/// day that reason began, then by name. Each with its reasons in force, in the same order.
///
/// Cost grows with `offset + limit`, not with the caseload: the index is walked in order, and a row counts only when
/// its episode has no worse one in force.
///
/// # Errors
/// Errors of the database.
pub fn today(
    tx: &mut dyn Tx,
    day: &str,
    therapist: Option<&str>,
    limit: u64,
    offset: u64,
) -> Result<Vec<(Summary, Vec<AttentionRow>)>, StoreError> {
    let mut params: Vec<Value> = vec![day.into(), limit.into(), offset.into()];
    let own = match therapist {
        Some(id) => {
            params.push(id.into());
            "AND a.therapist = $4"
        }
        None => "",
    };
    let sql = format!(
        "SELECT a.episode AS episode FROM attention a
         WHERE a.from_day <= $1 AND (a.until_day IS NULL OR $1 < a.until_day) {own}
           AND NOT EXISTS (
             SELECT 1 FROM attention b
             WHERE b.episode = a.episode AND b.from_day <= $1 AND (b.until_day IS NULL OR $1 < b.until_day)
               AND (b.rank > a.rank
                    OR (b.rank = a.rank AND (b.from_day < a.from_day OR (b.from_day = a.from_day AND b.place < a.place)))))
         ORDER BY a.rank DESC, a.from_day, a.name_folded, a.episode LIMIT $2 OFFSET $3"
    );
    let episodes =
        tx.query(&sql, &params)?.iter().map(|r| r.text("episode")).collect::<Result<Vec<_>, _>>()?;
    let mut found = Vec::with_capacity(episodes.len());
    for episode in episodes {
        let Some(summary) = get(tx, &episode)? else { continue };
        let reasons = in_force(tx, &episode, day)?;
        found.push((summary, reasons));
    }
    Ok(found)
}

/// An episode's reasons in force on a day, worst first.
///
/// # Errors
/// Errors of the database.
pub fn in_force(tx: &mut dyn Tx, episode: &str, day: &str) -> Result<Vec<AttentionRow>, StoreError> {
    let sql = "SELECT reason, rank, from_day, until_day, detail, entry FROM attention
               WHERE episode = $1 AND from_day <= $2 AND (until_day IS NULL OR $2 < until_day)
               ORDER BY rank DESC, from_day, place";
    tx.query(sql, &[episode.into(), day.into()])?.iter_mut().map(attention_of).collect()
}

/// All of an episode's reasons, also those to come, by day.
///
/// # Errors
/// Errors of the database.
pub fn attention(tx: &mut dyn Tx, episode: &str) -> Result<Vec<AttentionRow>, StoreError> {
    let sql = "SELECT reason, rank, from_day, until_day, detail, entry FROM attention
               WHERE episode = $1 ORDER BY from_day, rank DESC, place";
    tx.query(sql, &[episode.into()])?.iter_mut().map(attention_of).collect()
}

/// How many episodes [`today`] has in all.
///
/// # Errors
/// Errors of the database.
pub fn count_today(tx: &mut dyn Tx, day: &str, therapist: Option<&str>) -> Result<u64, StoreError> {
    let mut params: Vec<Value> = vec![day.into()];
    let own = match therapist {
        Some(id) => {
            params.push(id.into());
            "AND therapist = $2"
        }
        None => "",
    };
    let sql = format!(
        "SELECT count(DISTINCT episode) AS n FROM attention
         WHERE from_day <= $1 AND (until_day IS NULL OR $1 < until_day) {own}"
    );
    query_one(tx, &sql, &params)?.count("n")
}

/// How many episodes have each reason in force on a day, by reason.
///
/// # Errors
/// Errors of the database.
pub fn count_reasons(
    tx: &mut dyn Tx,
    day: &str,
    therapist: Option<&str>,
) -> Result<BTreeMap<String, u64>, StoreError> {
    let mut params: Vec<Value> = vec![day.into()];
    let own = match therapist {
        Some(id) => {
            params.push(id.into());
            "AND therapist = $2"
        }
        None => "",
    };
    let sql = format!(
        "SELECT reason, count(DISTINCT episode) AS n FROM attention
         WHERE from_day <= $1 AND (until_day IS NULL OR $1 < until_day) {own} GROUP BY reason"
    );
    tx.query(&sql, &params)?.iter().map(|r| Ok((r.text("reason")?, r.count("n")?))).collect()
}

const COLUMNS: &str = "episode, therapist, name, born, record, protocol, open, updated, head, body";

/// An episode's summary.
///
/// # Errors
/// Errors of the database.
pub fn get(tx: &mut dyn Tx, episode: &str) -> Result<Option<Summary>, StoreError> {
    let sql = format!("SELECT {COLUMNS} FROM summary WHERE episode = $1");
    query_opt(tx, &sql, &[episode.into()])?.as_mut().map(summary_of).transpose()
}

/// Episodes in which every word of the text occurs in the name, the record number or the birth date, by name.
/// Capitals and accents do not matter. An empty text finds nothing.
///
/// # Errors
/// Errors of the database.
pub fn search(tx: &mut dyn Tx, text: &str, limit: u64) -> Result<Vec<Summary>, StoreError> {
    let folded = fold(text);
    // Eight words tell any patient from another; more would only make more shapes of the statement.
    let words: Vec<&str> = folded.split_whitespace().take(8).collect();
    if words.is_empty() {
        return Ok(Vec::new());
    }
    let mut params: Vec<Value> = Vec::with_capacity(words.len() + 1);
    let mut conditions = Vec::with_capacity(words.len());
    for word in words {
        let literal = word.replace('\\', "\\\\").replace('%', "\\%").replace('_', "\\_");
        params.push(format!("%{literal}%").into());
        conditions.push(format!("find LIKE ${} ESCAPE '\\'", params.len()));
    }
    params.push(limit.into());
    // The inner statement is answered from the index alone; only what was found is looked up.
    let sql = format!(
        "SELECT {COLUMNS} FROM summary WHERE episode IN (
           SELECT episode FROM summary WHERE {} ORDER BY name_folded, episode LIMIT ${})
         ORDER BY name_folded, episode",
        conditions.join(" AND "),
        params.len()
    );
    tx.query(&sql, &params)?.iter_mut().map(summary_of).collect()
}

/// Episodes by name.
///
/// # Errors
/// Errors of the database.
pub fn list(
    tx: &mut dyn Tx,
    therapist: Option<&str>,
    open: bool,
    limit: u64,
    offset: u64,
) -> Result<Vec<Summary>, StoreError> {
    let mut params: Vec<Value> = vec![open.into(), limit.into(), offset.into()];
    let own = match therapist {
        Some(id) => {
            params.push(id.into());
            "AND therapist = $4"
        }
        None => "",
    };
    let sql = format!(
        "SELECT {COLUMNS} FROM summary WHERE open = $1 {own} ORDER BY name_folded, episode LIMIT $2 OFFSET $3"
    );
    tx.query(&sql, &params)?.iter_mut().map(summary_of).collect()
}

/// All open episodes, those of one therapist (name as printed) or of all, by identifier.
///
/// # Errors
/// Errors of the database.
pub fn open_episodes(tx: &mut dyn Tx, therapist: Option<&str>) -> Result<Vec<String>, StoreError> {
    let mut params: Vec<Value> = vec![true.into()];
    let own = match therapist {
        Some(name) => {
            params.push(name.into());
            "AND therapist = $2"
        }
        None => "",
    };
    let sql = format!("SELECT episode FROM summary WHERE open = $1 {own} ORDER BY episode");
    tx.query(&sql, &params)?.iter().map(|it| it.text("episode")).collect()
}

/// How many episodes [`list`] has in all.
///
/// # Errors
/// Errors of the database.
pub fn count(tx: &mut dyn Tx, therapist: Option<&str>, open: bool) -> Result<u64, StoreError> {
    let mut params: Vec<Value> = vec![open.into()];
    let own = match therapist {
        Some(id) => {
            params.push(id.into());
            "AND therapist = $2"
        }
        None => "",
    };
    query_one(tx, &format!("SELECT count(*) AS n FROM summary WHERE open = $1 {own}"), &params)?.count("n")
}

fn summary_of(row: &mut Row) -> Result<Summary, StoreError> {
    Ok(Summary {
        episode: row.take_text("episode")?,
        therapist: row.take_text("therapist")?,
        name: row.take_text("name")?,
        born: row.text_opt("born")?,
        record: row.text_opt("record")?,
        protocol: row.take_text("protocol")?,
        open: row.flag("open")?,
        updated: row.moment("updated")?,
        head: row.count("head")?,
        body: row.take_text("body")?,
    })
}

fn attention_of(row: &mut Row) -> Result<AttentionRow, StoreError> {
    Ok(AttentionRow {
        reason: row.take_text("reason")?,
        rank: row.int("rank")?,
        from_day: row.take_text("from_day")?,
        until_day: row.text_opt("until_day")?,
        detail: row.take_text("detail")?,
        entry: row.count_opt("entry")?,
    })
}

/// A name as it is sorted and searched: small letters, Latin accents taken off, single spaces.
pub fn fold(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for word in text.split_whitespace() {
        if !out.is_empty() {
            out.push(' ');
        }
        for letter in word.chars().flat_map(char::to_lowercase) {
            match letter {
                'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' | 'ā' | 'ă' | 'ą' => out.push('a'),
                'ç' | 'ć' | 'č' | 'ĉ' | 'ċ' => out.push('c'),
                'ď' | 'đ' | 'ð' => out.push('d'),
                'è' | 'é' | 'ê' | 'ë' | 'ē' | 'ė' | 'ę' | 'ě' => out.push('e'),
                'ğ' | 'ģ' | 'ĝ' => out.push('g'),
                'ì' | 'í' | 'î' | 'ï' | 'ī' | 'į' | 'ı' => out.push('i'),
                'ķ' => out.push('k'),
                'ł' | 'ľ' | 'ļ' | 'ĺ' => out.push('l'),
                'ñ' | 'ń' | 'ň' | 'ņ' => out.push('n'),
                'ò' | 'ó' | 'ô' | 'õ' | 'ö' | 'ø' | 'ō' | 'ő' => out.push('o'),
                'ŕ' | 'ř' => out.push('r'),
                'ś' | 'š' | 'ş' | 'ș' => out.push('s'),
                'ť' | 'ţ' | 'ț' => out.push('t'),
                'ù' | 'ú' | 'û' | 'ü' | 'ū' | 'ů' | 'ű' | 'ų' => out.push('u'),
                'ý' | 'ÿ' => out.push('y'),
                'ź' | 'ż' | 'ž' => out.push('z'),
                'æ' => out.push_str("ae"),
                'œ' => out.push_str("oe"),
                'ß' => out.push_str("ss"),
                'þ' => out.push_str("th"),
                // Accents that stand by themselves after their letter.
                '\u{300}'..='\u{36f}' => {}
                other => out.push(other),
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::fold;

    #[test]
    fn names_fold_without_capitals_and_accents() {
        assert_eq!(fold("  María-José  NÚÑEZ "), "maria-jose nunez");
        assert_eq!(fold("Łukasz Żak"), "lukasz zak");
        assert_eq!(fold("Jose\u{301} O'Neil"), "jose o'neil");
        assert_eq!(fold("Strauß"), "strauss");
    }
}
