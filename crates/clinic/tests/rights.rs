//! Who may what, walked over every route as every role; where requests come from; what every answer carries.

mod common;

use axum::body::Body;
use axum::http::{Method, Request, StatusCode, header};
use common::{Answer, Desk, Person};
use handrail_clinic::routes::{Route, table};
use handrail_clinic::{Right, Role};

/// A path with its places filled with what does not exist.
fn path_of(route: &Route) -> String {
    let fill = |piece: &str| match piece {
        "{number}" => "999999".to_string(),
        it if it.starts_with('{') => "none".to_string(),
        it => it.to_string(),
    };
    route.path.split('/').map(fill).collect::<Vec<_>>().join("/")
}

async fn ask(desk: &Desk, route: &Route, who: Option<&Person>) -> Answer {
    match route.method {
        Method::GET => desk.get(who, &path_of(route)).await,
        _ => desk.post(who, &path_of(route), &[]).await,
    }
}

fn named(route: &Route) -> String {
    format!("{} {}", route.method, route.path)
}

#[tokio::test(flavor = "multi_thread")]
async fn every_route_lets_in_whom_the_table_of_rights_names_and_nobody_else() {
    let desk = Desk::with_patients().await;
    for route in table() {
        // A session per request: logging out, or changing a password, must not end the walk.
        for role in Role::ALL {
            let person = desk.person(role).await;
            let answer = ask(&desk, &route, Some(&person)).await;
            let name = format!("{} as {}", named(&route), role.id());
            assert!(!answer.status.is_server_error(), "{name}: {} {}", answer.status, answer.text);
            match route.right {
                Right::Anyone => assert_ne!(answer.status, StatusCode::FORBIDDEN, "{name}"),
                Right::Patient => {
                    assert_eq!(answer.status, StatusCode::NOT_FOUND, "{name}: a desk is no patient")
                }
                right if role.may(right) => {
                    assert_ne!(answer.status, StatusCode::FORBIDDEN, "{name}: {}", answer.text);
                    assert!(!answer.location().starts_with("/login?"), "{name}: sent to the login page");
                }
                _ => assert_eq!(answer.status, StatusCode::FORBIDDEN, "{name}"),
            }
        }
        let answer = ask(&desk, &route, None).await;
        let name = format!("{} as nobody", named(&route));
        match route.right {
            Right::Anyone => assert!(!answer.status.is_server_error(), "{name}"),
            Right::Patient => assert_eq!(answer.status, StatusCode::NOT_FOUND, "{name}"),
            _ => {
                assert_eq!(answer.status, StatusCode::SEE_OTHER, "{name}");
                assert!(answer.location().starts_with("/login"), "{name}: {}", answer.location());
            }
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_form_from_elsewhere_or_without_its_token_changes_nothing() {
    let desk = Desk::empty().await;
    let person = desk.person(Role::ClinicLead).await;
    let admin = desk.person(Role::Administrator).await;
    for route in table().into_iter().filter(|it| it.method == Method::POST) {
        let who = if Role::ClinicLead.may(route.right) { &person } else { &admin };
        let send = |origin: &'static str, site: &'static str, token: String| {
            Request::post(path_of(&route))
                .header(header::HOST, "clinic.test")
                .header(header::ORIGIN, origin)
                .header("sec-fetch-site", site)
                .header("x-csrf", token)
                .header(header::COOKIE, &who.cookie)
                .body(Body::empty())
                .expect("a request")
        };
        let name = named(&route);
        let elsewhere = desk.ask(send("https://elsewhere.test", "cross-site", who.csrf.clone())).await;
        assert_eq!(elsewhere.status, StatusCode::FORBIDDEN, "{name} from elsewhere");
        if !matches!(route.right, Right::Anyone | Right::Patient) {
            let forged = desk.ask(send("https://clinic.test", "same-origin", "guess".into())).await;
            assert_eq!(forged.status, StatusCode::FORBIDDEN, "{name} with a forged token");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn every_answer_forbids_what_is_not_its_own_and_no_page_has_a_script_inside() {
    let desk = Desk::with_patients().await;
    let lead = desk.person(Role::ClinicLead).await;
    for route in table().into_iter().filter(|it| it.method == Method::GET) {
        let answer = ask(&desk, &route, Some(&lead)).await;
        let name = named(&route);
        let policy = answer.headers.get(header::CONTENT_SECURITY_POLICY).and_then(|it| it.to_str().ok());
        let policy = policy.unwrap_or_else(|| panic!("{name}: no content policy"));
        assert!(policy.contains("default-src 'none'") && policy.contains("frame-ancestors 'none'"), "{name}");
        assert!(!policy.contains("unsafe-inline") && !policy.contains("unsafe-eval"), "{name}: {policy}");
        assert_eq!(
            answer.headers.get("x-content-type-options").map(|it| it.as_bytes()),
            Some(&b"nosniff"[..])
        );
        if !policy.contains("'sha256-") {
            assert!(!answer.text.contains("<script>"), "{name}: a script inside");
            assert!(!answer.text.contains(" style=\""), "{name}: a style inside");
        }
        assert!(!answer.text.contains("[no words:"), "{name}: {}", answer.text);
    }
}

/// The table itself, for review: a new route shows up here.
#[test]
fn routes_and_their_rights() {
    let mut lines: Vec<String> =
        table().iter().map(|it| format!("{:4} {:45} {:?}", it.method.as_str(), it.path, it.right)).collect();
    lines.sort_by(|a, b| a[5..].cmp(&b[5..]));
    insta::assert_snapshot!(lines.join("\n"));
}
