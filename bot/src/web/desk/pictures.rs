//! Pictures and traces of a case for the coach's eye: a list on the case's page, and each by itself.
//! A file is served as it came in, with nothing that could make it do anything.

use super::case::{found, not_there};
use super::guard::trouble;
use super::page::time;
use super::queue::viewed;
use super::show::{View, name};
use super::{Desk, Signed};
use crate::record::KeptFile;
use crate::store::StoreError;
use axum::Extension;
use axum::extract::{Path, State};
use axum::http::header::{
    CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE, HeaderName, HeaderValue,
};
use axum::response::{IntoResponse as _, Response};
use cueline_core::report::Lift;
use maud::{Markup, html};
use std::sync::Arc;

/// A file by itself may load nothing, run nothing and be framed by nobody.
const INERT: &str = "default-src 'none'; sandbox; frame-ancestors 'none'; base-uri 'none'";
/// Widest and highest a picture is shown on the page of its case.
const SMALL: u32 = 220;

/// One picture of a case.
pub(super) async fn picture(
    State(desk): State<Arc<Desk>>,
    Path((number, id)): Path<(String, String)>,
    Extension(signed): Extension<Signed>,
) -> Response {
    serve(&desk, &signed, &number, &id, true).await
}

/// One trace of a case, to be saved.
pub(super) async fn trace(
    State(desk): State<Arc<Desk>>,
    Path((number, id)): Path<(String, String)>,
    Extension(signed): Extension<Signed>,
) -> Response {
    serve(&desk, &signed, &number, &id, false).await
}

async fn serve(desk: &Desk, signed: &Signed, number: &str, id: &str, picture: bool) -> Response {
    let Ok(parsed) = number.parse::<i64>() else {
        return not_there(number);
    };
    let store = &desk.parts.store;
    let read = async {
        let Some(file) = found(desk, signed, parsed).await? else {
            return Ok(None);
        };
        let kept = store.files().file_of_case(&file.case.id, id).await?;
        let kept = kept.filter(|kept| kept.is_picture() == picture);
        if kept.is_some() {
            let what = if picture { "picture" } else { "trace" };
            let noted = viewed(desk, signed, what, Some(&file.case.id));
            store.note_access(&noted).await?;
        }
        Ok::<_, StoreError>(kept)
    };
    match read.await {
        Ok(Some(kept)) => as_it_came(parsed, &kept).unwrap_or_else(|| not_there(number)),
        Ok(None) => not_there(number),
        Err(error) => trouble(&error),
    }
}

/// The file's bytes under its own type; none for one that is a link.
fn as_it_came(number: i64, kept: &KeptFile) -> Option<Response> {
    let bytes = kept.bytes()?;
    // The types are a closed set, so that nothing a lifter writes gets into a header.
    let (kind, ending, shown) = match kept.media_type.as_str() {
        "image/png" => ("image/png", "png", "inline"),
        "image/jpeg" => ("image/jpeg", "jpg", "inline"),
        "text/csv" => ("text/csv; charset=utf-8", "csv", "attachment"),
        "application/json" => ("application/json", "json", "attachment"),
        _ => return None,
    };
    let named = format!("{shown}; filename=\"case-{number}.{ending}\"");
    let named = HeaderValue::from_str(&named).ok()?;
    let headers = [
        (CONTENT_TYPE, HeaderValue::from_static(kind)),
        (CONTENT_DISPOSITION, named),
        (CONTENT_SECURITY_POLICY, HeaderValue::from_static(INERT)),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            HeaderValue::from_static("same-origin"),
        ),
    ];
    Some((headers, bytes).into_response())
}

/// The files of a case, pictures small with a link to the whole.
pub(super) fn section(view: &View<'_>) -> Markup {
    let (pictures, traces): (Vec<&KeptFile>, Vec<&KeptFile>) =
        view.files.iter().partition(|file| file.is_picture());
    html! {
        @if !view.files.is_empty() {
            section.sheet aria-labelledby="files" {
                h2 id="files" { "Pictures and traces" }
                @if !pictures.is_empty() {
                    ul.pictures {
                        @for (place, file) in (1..).zip(&pictures) { li { (one_picture(view, place, file)) } }
                    }
                }
                @if !traces.is_empty() {
                    ul {
                        @for (place, file) in (1..).zip(&traces) { li { (one_trace(view, place, file)) } }
                    }
                }
            }
        }
    }
}

fn one_picture(view: &View<'_>, place: usize, file: &KeptFile) -> Markup {
    let lift = view.file.case.lift.map_or("set", Lift::name);
    let alt = format!(
        "Picture {place} that {} sent of the {lift}",
        name(view.file)
    );
    html! {
        @if let Some(url) = &file.url {
            "Picture " (place) " as a link: " (outside(url))
        } @else {
            @let (width, height) = small(file.pixels.unwrap_or((SMALL, SMALL)));
            a href=(address(view, "picture", file)) {
                img src=(address(view, "picture", file)) alt=(alt) width=(width) height=(height) loading="lazy";
            }
        }
        p.soft { (about(view, file)) }
    }
}

fn one_trace(view: &View<'_>, place: usize, file: &KeptFile) -> Markup {
    html! {
        @if let Some(url) = &file.url { "Trace " (place) " as a link: " (outside(url)) }
        @else { a href=(address(view, "trace", file)) download { "Save trace " (place) } }
        " " span.soft { (about(view, file)) }
    }
}

/// Name, size and time.
fn about(view: &View<'_>, file: &KeptFile) -> Markup {
    html! {
        (file.name) ", "
        @if let Some((width, height)) = file.pixels { (width) " x " (height) " pixels, " }
        (file.size.div_ceil(1024)) " KiB, " (time(view.desk, file.at))
    }
}

/// A link that leads out of the desk.
fn outside(url: &str) -> Markup {
    html! { a href=(url) rel="noreferrer nofollow external" { (url) } }
}

fn address(view: &View<'_>, kind: &str, file: &KeptFile) -> String {
    format!("/desk/case/{}/{kind}/{}", view.file.case.number, file.id)
}

/// Width and height within the small frame, the shape kept.
fn small((width, height): (u32, u32)) -> (u32, u32) {
    let longest = width.max(height).max(1);
    if longest <= SMALL {
        return (width, height);
    }
    let side = |side: u32| {
        let scaled = u64::from(side) * u64::from(SMALL) / u64::from(longest);
        u32::try_from(scaled).unwrap_or(SMALL).max(1)
    };
    (side(width), side(height))
}

#[cfg(test)]
mod tests {
    use super::small;

    #[test]
    fn a_picture_is_shown_small_and_keeps_its_shape() {
        assert_eq!(small((100, 50)), (100, 50));
        assert_eq!(small((4400, 2200)), (220, 110));
        assert_eq!(small((10, 9000)), (1, 220));
        assert_eq!(small((u32::MAX, 1)), (220, 1));
        assert_eq!(small((0, 0)), (0, 0));
    }
}
