use crate::common::{DAY, MORNING, TestWorld};
use fellmark_core::weaving::Moment;
use fellmark_store::{DeviceId, Error, MOST_DEVICES, May, Missing, NewDevice, Store, TokenHash};
use std::time::Duration;

const WEEK: Duration = Duration::from_secs(7 * 86_400);

fn new(name: &str, token: u8) -> NewDevice {
    NewDevice { name: name.into(), may: May::Follow, token: TokenHash::of(&[token; 32]), lasts: WEEK }
}

#[test]
fn a_device_is_known_by_its_token_until_its_time_is_over() {
    let home = tempfile::tempdir().unwrap();
    let world = TestWorld::new();
    let token = TokenHash::of(&[7; 32]);
    let store = Store::open(home.path(), world.clone()).unwrap();
    let phone = store.let_in(NewDevice { may: May::Edit, ..new("Phone", 7) }).unwrap();
    assert_eq!((phone.name.as_str(), phone.may), ("Phone", May::Edit));
    drop(store);
    let store = Store::open(home.path(), world).unwrap();
    let at = |days: i64| store.device(token, Moment(MORNING + days * DAY)).unwrap();
    assert_eq!(at(0).as_ref(), Some(&phone), "also after a restart");
    assert_eq!(store.device(TokenHash::of(&[8; 32]), Moment(MORNING)).unwrap(), None);
    assert_eq!(at(6).unwrap().seen_at, Moment(MORNING + 6 * DAY));
    assert!(at(12).is_some(), "being seen starts its week anew");
    assert_eq!(at(20), None);
    assert_eq!(store.devices(Moment(MORNING + 20 * DAY)).unwrap(), []);
}

#[test]
fn a_device_that_was_sent_away_is_let_in_no_more() {
    let home = tempfile::tempdir().unwrap();
    let store = Store::open(home.path(), TestWorld::new()).unwrap();
    let phone = store.let_in(new("Phone", 1)).unwrap();
    let tablet = store.let_in(new("Tablet", 2)).unwrap();
    assert!(matches!(store.let_in(new("Twin", 2)), Err(Error::IdTaken)));
    store.send_away(phone.id).unwrap();
    let now = Moment(MORNING + 1000);
    assert_eq!(store.device(TokenHash::of(&[1; 32]), now).unwrap(), None);
    assert_eq!(store.devices(now).unwrap(), [tablet]);
    store.let_in(new("Another", 3)).unwrap();
    assert!(matches!(store.send_away(phone.id), Err(Error::NotThere(Missing::Device))), "it is forgotten");
}

#[test]
fn what_a_device_may_do_can_be_changed_for_as_long_as_it_is_let_in() {
    let home = tempfile::tempdir().unwrap();
    let world = TestWorld::new();
    let store = Store::open(home.path(), world.clone()).unwrap();
    let phone = store.let_in(new("Phone", 1)).unwrap();
    let tablet = store.let_in(new("Tablet", 2)).unwrap();
    store.set_may(phone.id, May::Edit).unwrap();
    drop(store);
    let store = Store::open(home.path(), world.clone()).unwrap();
    let may = |token: u8| store.device(TokenHash::of(&[token; 32]), Moment(MORNING)).unwrap().map(|d| d.may);
    assert_eq!((may(1), may(2)), (Some(May::Edit), Some(May::Follow)), "also after a restart");
    store.send_away(tablet.id).unwrap();
    world.later(DAY);
    let nobody: DeviceId = "0".repeat(32).parse().unwrap();
    for gone in [tablet.id, nobody] {
        assert!(matches!(store.set_may(gone, May::Edit), Err(Error::NotThere(Missing::Device))));
    }
    assert_eq!(may(2), None, "and sending away stays");
    world.later(8 * DAY);
    assert!(matches!(store.set_may(phone.id, May::Edit), Err(Error::NotThere(Missing::Device))));
}

#[test]
fn a_device_can_be_called_otherwise_but_not_as_another_that_is_let_in() {
    let home = tempfile::tempdir().unwrap();
    let world = TestWorld::new();
    let store = Store::open(home.path(), world.clone()).unwrap();
    let phone = store.let_in(new("Phone", 1)).unwrap();
    let tablet = store.let_in(new("Tablet", 2)).unwrap();
    store.rename_device(phone.id, "At the loom").unwrap();
    store.rename_device(phone.id, "At the loom").unwrap();
    let taken = store.rename_device(tablet.id, "At the loom").unwrap_err();
    assert!(matches!(&taken, Error::NameTaken { name } if name == "At the loom"), "{taken:?}");
    drop(store);
    let store = Store::open(home.path(), world.clone()).unwrap();
    let name =
        |token: u8| store.device(TokenHash::of(&[token; 32]), Moment(MORNING)).unwrap().map(|d| d.name);
    assert_eq!(
        (name(1).as_deref(), name(2).as_deref()),
        (Some("At the loom"), Some("Tablet")),
        "also after a restart"
    );
    // The name of one that was sent away is free.
    store.send_away(phone.id).unwrap();
    store.rename_device(tablet.id, "At the loom").unwrap();
    let nobody: DeviceId = "0".repeat(32).parse().unwrap();
    for gone in [phone.id, nobody] {
        assert!(matches!(store.rename_device(gone, "Ghost"), Err(Error::NotThere(Missing::Device))));
    }
}

#[test]
fn no_more_devices_are_let_in_than_may_be() {
    let home = tempfile::tempdir().unwrap();
    let world = TestWorld::new();
    let store = Store::open(home.path(), world.clone()).unwrap();
    for k in 0..MOST_DEVICES {
        store.let_in(new("Phone", k as u8)).unwrap();
    }
    let refused = store.let_in(new("One more", 200));
    assert!(matches!(refused, Err(Error::TooManyDevices { most: 25 })));
    world.later(8 * DAY);
    store.let_in(new("One more", 200)).unwrap();
    assert_eq!(store.devices(Moment(MORNING + 8 * DAY)).unwrap().len(), 1);
}

#[test]
fn no_token_stands_in_the_file() {
    let home = tempfile::tempdir().unwrap();
    let token: [u8; 32] = std::array::from_fn(|k| 100 + k as u8);
    let store = Store::open(home.path(), TestWorld::new()).unwrap();
    let hash = TokenHash::of(&token);
    store.let_in(NewDevice { token: hash, ..new("Phone", 0) }).unwrap();
    let file = store.file().to_owned();
    drop(store);
    let bytes = std::fs::read(file).unwrap();
    assert!(bytes.windows(5).any(|window| window == b"Phone"));
    assert!(!bytes.windows(8).any(|window| window == &token[..8]));
}

#[test]
fn a_device_comes_anew_in_place_of_what_it_was_or_stays_that() {
    let home = tempfile::tempdir().unwrap();
    let store = Store::open(home.path(), TestWorld::new()).unwrap();
    let new = |token: u8| NewDevice {
        name: format!("Phone {token}"),
        may: May::Follow,
        token: TokenHash::of(&[token; 32]),
        lasts: Duration::from_secs(1000),
    };
    let all: Vec<_> = (0..MOST_DEVICES as u8).map(|token| store.let_in(new(token)).unwrap()).collect();
    assert!(matches!(store.let_in(new(100)), Err(Error::TooManyDevices { .. })));
    // With every place taken it comes in its own.
    let again = store.replace(all[3].id, NewDevice { may: May::Edit, ..new(101) }).unwrap();
    let known = |token: u8| store.device(TokenHash::of(&[token; 32]), Moment(MORNING)).unwrap();
    assert_eq!((known(3), known(101).map(|device| device.id)), (None, Some(again.id)));
    // Where it can't come anew, it is let in as before.
    let taken = store.replace(again.id, new(5));
    assert!(matches!(taken, Err(Error::IdTaken)), "{taken:?}");
    assert_eq!(known(101).map(|device| device.may), Some(May::Edit));
    assert_eq!(store.devices(Moment(MORNING)).unwrap().len(), MOST_DEVICES);
}
