//! A new episode: what is missing is told at its field and nothing is written; what is right begins an episode.

mod common;

use axum::http::StatusCode;
use common::{Desk, Person};
use handrail_clinic::Role;
use handrail_clinic::records::load;
use handrail_store::{caseload, journal, settings};

const FORM: [(&str, &str); 13] = [
    ("protocol", "achilles-repair"),
    ("side", "left"),
    ("surgery", "2026-11-20"),
    ("surgeon", "Dr. Invented"),
    ("next_visit", "2026-12-04"),
    ("patient_name", "Nadja Inventada"),
    ("born", "1980-02-03"),
    ("therapist", "Ines Brandvold, PT"),
    ("language", "es"),
    ("stature_cm", "170"),
    ("mass_kg", "70"),
    ("sex", "female"),
    ("equipment_asked", "1"),
];

async fn streams(desk: &Desk) -> usize {
    desk.store.read(|tx| Ok(journal::streams(tx)?.len())).await.expect("streams")
}

async fn post(desk: &Desk, who: &Person, change: &[(&str, &str)]) -> common::Answer {
    let mut form: Vec<(&str, &str)> =
        FORM.into_iter().filter(|it| !change.iter().any(|c| c.0 == it.0)).collect();
    form.extend(change);
    desk.post(Some(who), "/new", &form).await
}

#[tokio::test(flavor = "multi_thread")]
async fn each_mistake_is_told_and_nothing_is_written() {
    let desk = Desk::with_patients().await;
    let who = desk.person(Role::Therapist).await;
    let before = streams(&desk).await;
    for (field, value) in [
        ("side", ""),
        ("surgery", "2026-11-26"),
        ("surgery", "soon"),
        ("surgeon", " "),
        ("next_visit", "2026-11-01"),
        ("protocol", "unknown-repair"),
        ("patient_name", ""),
        ("born", "2027-01-01"),
        ("stature_cm", "17"),
        ("mass_kg", "heavy"),
        ("sex", ""),
        ("seat_cm", "450"),
        ("stairs", "-1"),
        // A restriction is confirmed by a document, not by a tick.
        ("confirm", "weight-none"),
    ] {
        let answer = post(&desk, &who, &[(field, value)]).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{field} = {value}");
        assert!(answer.text.contains("class=\"wrong\"") || answer.text.contains("href=\"#f-"), "{field}");
        assert!(answer.text.contains("Dr. Invented") || field == "surgeon", "{field}: typed values stay");
    }
    assert_eq!(streams(&desk).await, before);
}

#[tokio::test(flavor = "multi_thread")]
async fn the_front_desk_begins_an_episode_in_which_everything_is_assumed() {
    let desk = Desk::with_patients().await;
    let who = desk.person(Role::FrontDesk).await;
    let answer = post(&desk, &who, &[]).await;
    assert_eq!((answer.status, answer.location()), (StatusCode::SEE_OTHER, "/patients"), "{}", answer.text);
    let found = desk.store.read(|tx| caseload::search(tx, "Nadja Inventada", 5)).await.expect("search");
    let loaded = load(&desk.app, &found[0].episode).await.expect("the episode");
    assert_eq!(loaded.episode.patient.language, "es");
    assert!(loaded.episode.orders.confirmed.is_empty() && loaded.episode.programs.is_empty());
    assert_eq!(loaded.episode.clinic.therapist, "Ines Brandvold, PT");
    // The same person again is asked about first, and no restriction can be confirmed from the front desk.
    assert_eq!(post(&desk, &who, &[]).await.status, StatusCode::CONFLICT);
    let document =
        [("confirm", "weight-none"), ("document", "letter"), ("document_on", "2026-11-21"), ("anyway", "1")];
    assert_eq!(post(&desk, &who, &document).await.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_therapist_confirms_with_the_document_and_goes_on_to_the_program() {
    let desk = Desk::with_patients().await;
    let who = desk.person(Role::Therapist).await;
    let document = [("confirm", "weight-none"), ("document", "letter"), ("document_on", "2026-11-21")];
    let answer = post(&desk, &who, &document).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    let to = answer.location().to_string();
    assert!(to.starts_with("/e/") && to.ends_with("/program?propose=1"), "{to}");
    let page = desk.get(Some(&who), &to).await;
    assert_eq!(page.status, StatusCode::OK);
    let id = to.split('/').nth(2).expect("an id");
    let confirmed = &load(&desk.app, id).await.expect("the episode").episode.orders.confirmed;
    assert_eq!((confirmed.len(), confirmed[0].by.as_str()), (1, "Dr. Invented"));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_password_that_somebody_else_gave_opens_nothing_but_its_change() {
    let desk = Desk::with_patients().await;
    let who = desk.person(Role::Therapist).await;
    let account = desk
        .store
        .read(|tx| Ok(handrail_store::accounts::list(tx)?.into_iter().find(|it| it.password == "$none")))
        .await
        .expect("accounts")
        .expect("the person");
    desk.store
        .write(move |tx| settings::put_json(tx, &format!("password-due:{}", account.id), &true))
        .await
        .expect("written");
    for path in ["/", "/patients", "/e/marta-okonjo", "/new"] {
        let answer = desk.get(Some(&who), path).await;
        assert_eq!((answer.status, answer.location()), (StatusCode::SEE_OTHER, "/settings"), "{path}");
    }
    assert_eq!(desk.get(Some(&who), "/settings").await.status, StatusCode::OK);
}

#[tokio::test(flavor = "multi_thread")]
async fn what_depends_on_another_answer_is_asked_only_where_it_matters() {
    let desk = Desk::with_patients().await;
    let who = desk.person(Role::Therapist).await;
    let tear = "name=\"variant.meniscus_tear\"";
    for (meniscus, asked) in [("", true), ("repair", true), ("none", false), ("resection", false)] {
        let mut form: Vec<(&str, &str)> = FORM.into_iter().filter(|it| it.0 != "protocol").collect();
        form.extend([("protocol", "acl-reconstruction"), ("variant.meniscus", meniscus)]);
        let answer = desk.post(Some(&who), "/new/orders", &form).await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
        assert_eq!(answer.text.contains(tear), asked, "meniscus: {meniscus}");
        // A question that stands alone stays, whatever else was answered.
        assert!(
            answer.text.contains("name=\"variant.meniscus\"")
                && answer.text.contains("name=\"variant.graft\"")
        );
    }
}
